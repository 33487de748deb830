// Package whole writes files so that each is there whole or not at all: a
// temporary file in the target folder, synced to the disk, then renamed.
package whole

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"keyon/model/fault"
)

// File writes one file. Where path exists it is replaced only if over says
// so; on an error it stays as it was.
func File(path string, over bool, write func(io.Writer) error) error {
	if !over {
		if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
			return exists(path)
		}
	}
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	defer os.Remove(f.Name()) // fails, as it should, once the file is renamed
	if err = write(f); err == nil {
		err = f.Sync()
	}
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = os.Chmod(f.Name(), 0o644)
	}
	if err == nil {
		err = Place(f.Name(), path, over)
	}
	if err != nil && fault.Of(err) == fault.Internal {
		return fmt.Errorf("write %s: %w", path, err)
	}
	return err
}

// Place moves a finished file to its path, over another file only if over
// says so, and syncs the folder so that the name is on the disk too.
func Place(temp, path string, over bool) error {
	var err error
	if over {
		err = os.Rename(temp, path)
	} else if err = os.Link(temp, path); errors.Is(err, fs.ErrExist) {
		return exists(path)
	} else if err != nil { // a file system without links
		err = os.Rename(temp, path)
	}
	if err != nil {
		return err
	}
	if d, err := os.Open(filepath.Dir(path)); err == nil {
		d.Sync() // not every file system can; the rename is done either way
		d.Close()
	}
	return nil
}

func exists(path string) error {
	return fault.New(fault.Conflict, "give another name, or say that it may be replaced", fmt.Errorf("write %s: there is already a file of that name", path))
}
