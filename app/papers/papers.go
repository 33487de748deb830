// Package papers writes a car's document sets: a pack for each loom as PDF
// and workbook with a label file, and the tuner's pack. A set is complete or
// absent: it is written beside its place and moved there at the end.
package papers

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"keyon/app/open"
	"keyon/draw"
	"keyon/format/page"
	"keyon/format/pdf"
	"keyon/format/sheet"
	"keyon/model/fault"
	"keyon/model/plan"
)

// Origin is what stands in the title block as maker.
const Origin = "keyon 0.1"

// Options say what to write.
type Options struct {
	Dir   string
	Looms []string // names; none: all, and the tuner's pack
	Paper string   // A4 or letter; blank: as the car says
	Date  string   // as printed
	Over  bool     // replace a set that is there
}

// Set makes the packs without writing them.
func Set(car *open.Car, p *plan.Plan, o Options) ([]draw.Pack, error) {
	size := page.A4
	paper := o.Paper
	if paper == "" {
		paper = car.Design.Car.Paper
	}
	switch strings.ToLower(paper) {
	case "", "a4":
	case "letter":
		size = page.Letter
	default:
		return nil, fault.New(fault.Usage, "write A4 or letter", fmt.Errorf("--paper %s is no paper size", paper))
	}
	c, _ := car.Catalogue.With(car.Design)
	k := draw.New(car.Design, c, p, draw.Options{Size: size, Date: o.Date, Origin: Origin})
	var packs []draw.Pack
	for _, l := range k.Looms() {
		if name := p.Things.Looms[l].Name; len(o.Looms) == 0 || slices.Contains(o.Looms, name) {
			packs = append(packs, k.Loom(l))
		}
	}
	for _, want := range o.Looms {
		if !slices.ContainsFunc(packs, func(x draw.Pack) bool { return x.Name == want }) {
			return nil, fault.New(fault.NotFound, "the car's looms: "+loomNames(p), fmt.Errorf("no loom is called %q", want))
		}
	}
	if len(o.Looms) == 0 {
		if t := k.Tuner(); len(t.Document.Pages) > 0 {
			packs = append(packs, t)
		}
	}
	if len(packs) == 0 {
		return nil, fault.New(fault.Invalid, "add legs between places, and circuits", errors.New("the car has no loom to write papers for"))
	}
	return packs, nil
}

func loomNames(p *plan.Plan) string {
	var names []string
	for i := range p.Things.Looms {
		names = append(names, p.Things.Looms[i].Name)
	}
	return strings.Join(names, ", ")
}

// Write writes the set and gives the names of its files.
func Write(car *open.Car, p *plan.Plan, o Options) ([]string, error) {
	packs, err := Set(car, p, o)
	if err != nil {
		return nil, err
	}
	if _, err := os.Stat(o.Dir); err == nil && !o.Over {
		if list, err := os.ReadDir(o.Dir); err != nil || len(list) > 0 {
			return nil, fault.New(fault.Conflict, "choose another folder, or add --over to replace the papers in it", fmt.Errorf("%s is there already", o.Dir))
		}
	}
	parent := filepath.Dir(filepath.Clean(o.Dir))
	if err := os.MkdirAll(parent, 0o755); err != nil {
		return nil, fmt.Errorf("make %s: %w", parent, err)
	}
	tmp, err := os.MkdirTemp(parent, ".papers-")
	if err != nil {
		return nil, fmt.Errorf("write papers: %w", err)
	}
	defer os.RemoveAll(tmp)
	var names []string
	used := map[string]bool{}
	for _, pack := range packs {
		base := slug(pack.Name)
		for n := 2; used[base]; n++ {
			base = fmt.Sprintf("%s-%d", slug(pack.Name), n)
		}
		used[base] = true
		files, err := encode(pack)
		if err != nil {
			return nil, fmt.Errorf("papers of %s: %w", pack.Name, err)
		}
		for _, f := range files {
			if err := writeSynced(filepath.Join(tmp, base+f.suffix), f.data); err != nil {
				return nil, fmt.Errorf("write papers: %w", err)
			}
			names = append(names, filepath.Join(o.Dir, base+f.suffix))
		}
	}
	return names, place(tmp, o.Dir, o.Over)
}

type file struct {
	suffix string
	data   []byte
}

func encode(pack draw.Pack) ([]file, error) {
	print, err := pdf.Encode(pack.Document)
	if err != nil {
		return nil, err
	}
	files := []file{{".pdf", print}}
	if len(pack.Book.Tabs) > 0 {
		book, err := sheet.Write(pack.Book)
		if err != nil {
			return nil, err
		}
		files = append(files, file{".xlsx", book})
	}
	if len(pack.Labels) > 0 {
		files = append(files, file{"-labels.csv", pack.Labels})
	}
	return files, nil
}

func writeSynced(name string, data []byte) error {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	if _, err = f.Write(data); err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}

// place moves a finished set to its folder. An older set steps aside first
// and comes back if the move fails.
func place(tmp, dir string, over bool) error {
	if err := os.Chmod(tmp, 0o755); err != nil {
		return fmt.Errorf("write papers: %w", err)
	}
	old := ""
	if _, err := os.Stat(dir); err == nil {
		old = dir + ".old"
		if err := ours(dir); err != nil {
			return err
		}
		if err := os.Rename(dir, old); err != nil {
			return fmt.Errorf("replace %s: %w", dir, err)
		}
	}
	if err := os.Rename(tmp, dir); err != nil {
		if old != "" {
			err = errors.Join(err, os.Rename(old, dir))
		}
		return fmt.Errorf("write papers: %w", err)
	}
	if old != "" {
		return os.RemoveAll(old)
	}
	return nil
}

// ours refuses to replace a folder that holds anything but papers.
func ours(dir string) error {
	list, err := os.ReadDir(dir)
	if err != nil {
		return fmt.Errorf("replace %s: %w", dir, err)
	}
	for _, e := range list {
		ext := filepath.Ext(e.Name())
		if e.IsDir() || !slices.Contains([]string{".pdf", ".xlsx", ".csv", ".svg"}, ext) {
			return fault.New(fault.Conflict, "choose a folder for papers alone", fmt.Errorf("%s holds %s, which is no paper", dir, e.Name()))
		}
	}
	return nil
}

// slug is a name as a file name: letters, digits and hyphens.
func slug(name string) string {
	s := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return '-'
	}, name)
	s = strings.Trim(s, "-")
	if r := []rune(s); len(r) > 60 {
		s = string(r[:60])
	}
	if s == "" || !fs.ValidPath(s) {
		return "loom"
	}
	return s
}
