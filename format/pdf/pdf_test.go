package pdf_test

import (
	"bytes"
	"os"
	"testing"

	"keyon/format/page"
	"keyon/format/page/sample"
	"keyon/format/pdf"
)

func TestSampleIsClean(t *testing.T) {
	for _, p := range page.Check(sample.Pack()) {
		t.Error(p)
	}
}

func TestSameBytes(t *testing.T) {
	a, err := pdf.Encode(sample.Pack())
	if err != nil {
		t.Fatal(err)
	}
	for range 3 {
		b, err := pdf.Encode(sample.Pack())
		if err != nil || !bytes.Equal(a, b) {
			t.Fatalf("a second encoding differs (%d and %d bytes, %v)", len(a), len(b), err)
		}
	}
	if f := os.Getenv("KEYON_SAMPLE_PDF"); f != "" { // to look at it
		if err := os.WriteFile(f, a, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
