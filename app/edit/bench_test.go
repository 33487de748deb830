package edit

import (
	"fmt"
	"path/filepath"
	"testing"

	"keyon/model/settle"
	"keyon/store/workbook"
)

// many is a workbook reading with n circuits.
func many(n int) *workbook.Reading {
	b := []byte("circuit,from,from pin,to,to pin,class,gauge,wire,colour,note\n")
	for i := range n {
		b = fmt.Appendf(b, "C%06d,ECU%d,%d,DEV%d,%d,signal,22,M22759/32,WHT,row %d\n", i, i/100, i%100, i/7, i%7, i)
	}
	r, err := workbook.Read("Circuits.csv", b)
	if err != nil {
		panic(err)
	}
	return r
}

// BenchmarkCar measures a car of 100,000 circuits.
func BenchmarkCar(b *testing.B) {
	path := filepath.Join(b.TempDir(), "big.keyon")
	c, err := Create(path)
	if err != nil {
		b.Fatal(err)
	}
	r := many(100_000)
	p := c.Import(r)
	b.Run("take", func(b *testing.B) {
		for range b.N {
			if err := c.Take(p, by("anna")); err != nil {
				b.Skip(err) // only the first can
			}
		}
	})
	b.Run("import", func(b *testing.B) {
		for range b.N {
			c.Import(r)
		}
	})
	b.Run("load", func(b *testing.B) {
		for range b.N {
			if _, err := c.File().Load(); err != nil {
				b.Fatal(err)
			}
		}
	})
	uid := c.Book().Sheet("Circuits").Rows[500].UID
	b.Run("set", func(b *testing.B) {
		saw := "row 500"
		for i := range b.N {
			text := fmt.Sprint("edit ", i, b.N)
			if err := c.Set(settle.Cell{Table: "Circuits", Row: uid, Column: "note"}, saw, text, by("anna")); err != nil {
				b.Fatal(err)
			}
			saw = text
		}
		c.Set(settle.Cell{Table: "Circuits", Row: uid, Column: "note"}, saw, "row 500", by("anna"))
	})
	b.Run("verify", func(b *testing.B) {
		for range b.N {
			if ps, err := c.File().Verify(); err != nil || len(ps) > 0 {
				b.Fatal(ps, err)
			}
		}
	})
	b.Run("xlsx", func(b *testing.B) {
		for range b.N {
			if err := workbook.WriteXLSX(filepath.Join(b.TempDir(), "x.xlsx"), c.Book(), true); err != nil {
				b.Fatal(err)
			}
		}
	})
	out := filepath.Join(b.TempDir(), "x.xlsx")
	workbook.WriteXLSX(out, c.Book(), true)
	b.Run("read xlsx", func(b *testing.B) {
		for range b.N {
			if _, err := workbook.ReadPath(out); err != nil {
				b.Fatal(err)
			}
		}
	})
}
