package workbook

import (
	"archive/zip"
	"bytes"
	"slices"
	"strings"
	"testing"

	"keyon/model/design"
	"keyon/testkit/hostile"
)

// settled checks that what was read once reads the same after writing.
func settled(t *testing.T, r *Reading) {
	design.Read(r.Book)
	r.Book.Sheets = slices.DeleteFunc(r.Book.Sheets, func(s design.Sheet) bool { return len(s.Rows) == 0 })
	if len(r.Book.Sheets) == 0 {
		return
	}
	for i := range r.Book.Sheets {
		for _, row := range r.Book.Sheets[i].Rows {
			for _, c := range row.Cells {
				if len(c.Text) > 30_000 {
					return // more than a workbook cell may hold
				}
			}
		}
	}
	want := hostile.Text(r.Book)
	if got := hostile.Text(throughCSV(t, r.Book)); got != want {
		t.Errorf("CSV: got\n%s\nwant\n%s", got, want)
	}
	if got := hostile.Text(throughXLSX(t, r.Book)); got != want {
		t.Errorf("XLSX: got\n%s\nwant\n%s", got, want)
	}
}

func FuzzCSV(f *testing.F) {
	f.Add([]byte("circuit,from,from pin,to,to pin,gauge\nF1,ECU,01,FAN,1E2,20\n"))
	f.Add([]byte("\xef\xbb\xbfcircuit;from;to;key\r\n\"a\"\"b\";'=x;-5;k\r\n"))
	f.Add([]byte("\xff\xfec\x00i\x00r\x00c\x00u\x00i\x00t\x00\t\x00f\x00r\x00o\x00m\x00\n\x00"))
	f.Add([]byte("sep=;\ncircuit;length (ft);x\ta\rF1;1,5;\"\r\n\"\r"))
	f.Add([]byte("name\xfc,from\n\x80,'\t\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if r, err := Read("Circuits.csv", data); err == nil && !strings.Contains(hostile.Text(r.Book), "\uFFFD") {
			settled(t, r)
		}
		if r, err := Read("Legs.csv", data); err == nil {
			design.Read(r.Book)
		}
		ReadForeign("list.csv", data, false)
		Pasted(string(data))
	})
}

// FuzzSheet reads hostile XML in a sound zip file, FuzzXLSX a hostile file.
func FuzzSheet(f *testing.F) {
	f.Add(sheet, "<sst><si><t>circuit</t></si><si><r><t>a</t></r><rPh><t>b</t></rPh></si></sst>", `<styleSheet><numFmts><numFmt numFmtId="164" formatCode="00"/></numFmts><cellXfs><xf numFmtId="0"/><xf numFmtId="164"/><xf numFmtId="14"/><xf numFmtId="9"/></cellXfs></styleSheet>`)
	f.Add(`<worksheet><sheetData><row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="str"><v>gauge</v></c></row><row r="2"><c r="A2" s="1"><v>7</v></c><c r="B2" s="2"><f>1+1</f><v>45000.5</v></c></row></sheetData><mergeCells><mergeCell ref="A1:B2"/></mergeCells></worksheet>`, "<sst><si><t>_x0041_</t></si></sst>", `<styleSheet><cellXfs><xf numFmtId="9"/><xf numFmtId="22"/></cellXfs></styleSheet>`)
	f.Fuzz(func(t *testing.T, sheet, texts, styles string) {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		for _, p := range [][2]string{{"xl/workbook.xml", book}, {"xl/_rels/workbook.xml.rels", strings.Replace(rels, "</R", `<Relationship Id="r3" Type="x/styles" Target="styles.xml"/></R`, 1)}, {"xl/s1.xml", sheet}, {"xl/strings.xml", texts}, {"xl/styles.xml", styles}} {
			w, _ := z.CreateHeader(&zip.FileHeader{Name: p[0]}) // stored: the fuzzer has no need of deflate
			w.Write([]byte(p[1]))
		}
		z.Close()
		if r, err := Read("t.xlsx", b.Bytes()); err == nil {
			settled(t, r)
		}
		ReadForeign("t.xlsx", b.Bytes(), true)
	})
}

func FuzzXLSX(f *testing.F) {
	var b bytes.Buffer
	small := &design.Book{Sheets: design.NewBook().Sheets[:1]}
	small.Sheets[0].Add("key", "decimal", "value", "comma")
	if err := EncodeXLSX(&b, small); err != nil {
		f.Fatal(err)
	}
	f.Add(b.Bytes())
	f.Add([]byte("PK\x03\x04"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if r, err := Read("t.xlsx", data); err == nil {
			design.Read(r.Book)
		}
	})
}
