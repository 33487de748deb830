package papers

import (
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"unicode"

	"keyon/app/open"
	"keyon/draw"
	"keyon/format/pdf"
	"keyon/format/sheet"
	"keyon/model/fault"
	"keyon/model/plan"
)

// Contents is the file that lists a set's files with their SHA-256: by it a
// later run knows which files are ours and untouched.
const Contents = "contents.csv"

// Write writes the set and gives the names of its files. A folder that holds
// anything else, or papers that were changed since, is left as it is.
func Write(car *open.Car, p *plan.Plan, o Options) ([]string, error) {
	packs, err := Set(car, p, o)
	if err != nil {
		return nil, err
	}
	dir, err := filepath.Abs(o.Dir)
	if err != nil {
		return nil, fmt.Errorf("write papers to %s: %w", o.Dir, err)
	}
	if err := free(dir, o.Dir, o.Over); err != nil {
		return nil, err
	}
	parent := filepath.Dir(dir)
	if err := os.MkdirAll(parent, 0o755); err != nil {
		return nil, fmt.Errorf("make %s: %w", parent, err)
	}
	tmp, err := os.MkdirTemp(parent, ".papers-")
	if err != nil {
		return nil, fmt.Errorf("write papers: %w", err)
	}
	defer os.RemoveAll(tmp)
	set := filepath.Join(tmp, "set")
	names, err := fill(set, packs)
	if err != nil {
		return nil, err
	}
	if err := place(set, dir, filepath.Join(tmp, "old")); err != nil {
		return nil, err
	}
	for i := range names {
		names[i] = filepath.Join(o.Dir, names[i])
	}
	return names, nil
}

// fill writes all files of a set into a new folder.
func fill(dir string, packs []draw.Pack) ([]string, error) {
	if err := os.Mkdir(dir, 0o755); err != nil {
		return nil, fmt.Errorf("write papers: %w", err)
	}
	var names []string
	list := sheet.Tab{Columns: []sheet.Column{{Head: "file"}, {Head: "sha256"}}}
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
			if err := writeSynced(filepath.Join(dir, base+f.suffix), f.data); err != nil {
				return nil, fmt.Errorf("write papers: %w", err)
			}
			names = append(names, base+f.suffix)
			list.Rows = append(list.Rows, sheet.Texts(base+f.suffix, hash(f.data)))
		}
	}
	if err := writeSynced(filepath.Join(dir, Contents), sheet.CSV(list)); err != nil {
		return nil, fmt.Errorf("write papers: %w", err)
	}
	return names, nil
}

func hash(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
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

// free says whether papers may be put at dir: nothing is there, an empty
// folder, or, where over allows it, a set of papers that nobody changed.
func free(dir, name string, over bool) error {
	list, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) || err == nil && len(list) == 0 {
		return nil
	}
	if err != nil {
		return fault.New(fault.Conflict, "choose a folder for papers alone", fmt.Errorf("write papers to %s: %w", name, err))
	}
	if !over {
		return fault.New(fault.Conflict, "choose another folder, or add --over to replace the papers in it", fmt.Errorf("%s is there already", name))
	}
	known, err := contents(dir)
	if err != nil {
		return fault.New(fault.Conflict, "choose a folder for papers alone", fmt.Errorf("%s holds no set of papers: %w", name, err))
	}
	for _, e := range list {
		if e.Name() == Contents {
			continue
		}
		want, ours := known[e.Name()]
		if !ours || !e.Type().IsRegular() {
			return fault.New(fault.Conflict, "move it away, or choose a folder for papers alone", fmt.Errorf("%s holds %s, which is none of its papers", name, e.Name()))
		}
		data, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			return fmt.Errorf("replace %s: %w", name, err)
		}
		if hash(data) != want {
			return fault.New(fault.Conflict, "move it away, so that what was written into it is not lost", fmt.Errorf("%s was changed since it was written", filepath.Join(name, e.Name())))
		}
	}
	return nil
}

// contents reads the list of a set.
func contents(dir string) (map[string]string, error) {
	f, err := os.Open(filepath.Join(dir, Contents))
	if err != nil {
		return nil, err
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return nil, err
	}
	known := map[string]string{}
	for _, r := range rows {
		if len(r) == 2 {
			known[sheet.Unguard(r[0])] = r[1]
		}
	}
	return known, nil
}

// place moves a finished set to its folder. What is there steps aside to old
// first and comes back if the move fails.
func place(set, dir, old string) error {
	err := os.Rename(dir, old)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("replace %s: %w", dir, err)
	}
	aside := err == nil
	if err := os.Rename(set, dir); err != nil {
		if aside {
			err = errors.Join(err, os.Rename(old, dir))
		}
		return fmt.Errorf("write papers: %w", err)
	}
	return nil
}

// reserved are names that Windows keeps for devices.
var reserved = regexp.MustCompile(`^(con|prn|aux|nul|com\d|lpt\d)$`)

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
	if reserved.MatchString(s) {
		return s + "-loom"
	}
	return s
}
