package project

import (
	"context"
	"database/sql"
	"embed"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	"modernc.org/sqlite" // the driver "sqlite"
	lib "modernc.org/sqlite/lib"

	"keyon/model/fault"
	"keyon/store/whole"
)

// Extension ends the name of a project file.
const Extension = ".keyon"

// applicationID marks the SQLite file as ours: "kyon".
const applicationID = 0x6b796f6e

//go:embed migrations/*.sql
var embedded embed.FS

// migrations are the steps of the schema, the first leading to version 1.
// They are never changed once released, only appended to.
var migrations = func() []string {
	names, err := fs.Glob(embedded, "migrations/*.sql")
	if err != nil || len(names) == 0 {
		panic("project: no migrations embedded")
	}
	steps := make([]string, len(names))
	for i, n := range names {
		if n != fmt.Sprintf("migrations/%04d.sql", i+1) {
			panic("project: migration " + n + " is not number " + fmt.Sprint(i+1))
		}
		b, err := embedded.ReadFile(n)
		if err != nil {
			panic(err)
		}
		steps[i] = string(b)
	}
	return steps
}()

// Project is an open project file. Its methods may be called from several
// goroutines; they run one after the other.
type Project struct {
	Path string
	db   *sql.DB
}

// Create makes a project file at path, which must not exist, and opens it.
func Create(path string) (*Project, error) {
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		return nil, fault.New(fault.Conflict, "give another name", fmt.Errorf("create project %s: there is already a file of that name", path))
	}
	dir, err := os.MkdirTemp(filepath.Dir(path), ".keyon-")
	if err != nil {
		return nil, fmt.Errorf("create project %s: %w", path, err)
	}
	defer os.RemoveAll(dir)
	// made aside, so that the name never stands for half a file
	aside := filepath.Join(dir, "new")
	p, err := connect(aside, "DELETE", true)
	if err == nil {
		if err = p.migrate(migrations); err == nil {
			err = p.Close()
		} else {
			p.Close()
		}
	}
	if err == nil {
		err = whole.Place(aside, path, false)
	}
	if err != nil {
		return nil, fmt.Errorf("create project %s: %w", path, err)
	}
	return Open(path)
}

// Open opens a project file and brings it to the present schema, after a copy
// beside it. A file of a newer program is refused and left as it is.
func Open(path string) (*Project, error) { return open(path, migrations) }

func open(path string, steps []string) (*Project, error) {
	p, err := opened(path, steps)
	if err != nil {
		return nil, fmt.Errorf("open project %s: %w", path, damage(err))
	}
	return p, nil
}

func opened(path string, steps []string) (*Project, error) {
	if err := header(path, len(steps)); err != nil {
		return nil, err
	}
	p, err := connect(path, "WAL", false)
	if err != nil {
		return nil, err
	}
	v, err := p.version()
	switch {
	case err != nil:
	case v > len(steps):
		err = newer(v, len(steps))
	case v < len(steps):
		if err = p.copyBeside(v); err == nil {
			err = p.migrate(steps)
		}
	}
	if err != nil {
		p.db.Close()
		return nil, err
	}
	return p, nil
}

// header judges a file by its first bytes, without touching it: SQLite keeps
// the user version at 60 and the application ID at 68.
func header(path string, version int) error {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return fault.New(fault.NotFound, "check the name and the folder", errors.New("no such file"))
	}
	if err != nil {
		return err
	}
	defer f.Close()
	var h [100]byte
	if _, err := io.ReadFull(f, h[:]); err != nil || string(h[:16]) != "SQLite format 3\x00" || binary.BigEndian.Uint32(h[68:]) != applicationID {
		return fault.New(fault.Invalid, "give a project file; a workbook becomes one by import", errors.New("not a project file"))
	}
	if v := int(binary.BigEndian.Uint32(h[60:])); v > version {
		return newer(v, version)
	}
	return nil
}

func newer(v, known int) error {
	return fault.New(fault.Newer, "open it with the program that wrote it, or a later one", fmt.Errorf("made by a newer version of the program (schema %d, known here up to %d)", v, known))
}

// connect opens the database with its settings in the name, so that every
// connection has them. One connection: one writer, and readers that see it.
func connect(path, journal string, create bool) (*Project, error) {
	q := url.Values{"_txlock": {"immediate"}, "mode": {"rw"}, "_pragma": {
		"busy_timeout(5000)", "foreign_keys(1)", "journal_mode(" + journal + ")", "synchronous(FULL)", "trusted_schema(0)", "cell_size_check(1)",
		"cache_size(-65536)"}} // KiB: a large import stays in memory until it is committed
	if create {
		q.Set("mode", "rwc")
	}
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	name := url.URL{Scheme: "file", Path: filepath.ToSlash(abs), RawQuery: q.Encode()}
	db, err := sql.Open("sqlite", name.String())
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	return &Project{Path: path, db: db}, nil
}

// Close closes the file.
func (p *Project) Close() error { return p.db.Close() }

func (p *Project) version() (v int, err error) {
	err = p.db.QueryRow("PRAGMA user_version").Scan(&v)
	return v, err
}

// migrate runs the steps that the file lacks, each with its version in one
// transaction.
func (p *Project) migrate(steps []string) error {
	v, err := p.version()
	if err != nil {
		return err
	}
	for ; v < len(steps); v++ {
		// PRAGMA takes no parameters; both are our own numbers
		set := fmt.Sprintf("PRAGMA user_version = %d; PRAGMA application_id = %d;", v+1, applicationID)
		if err := p.within(func(tx *sql.Tx) error {
			_, err := tx.Exec(steps[v] + ";" + set)
			return err
		}); err != nil {
			return fmt.Errorf("bring it to schema %d: %w", v+1, err)
		}
	}
	// the version is judged by the file's first bytes, so it must be there
	_, err = p.db.Exec("PRAGMA wal_checkpoint(TRUNCATE)")
	return err
}

// copyBeside keeps the file as it is before its schema changes.
func (p *Project) copyBeside(v int) error {
	name := fmt.Sprintf("%s-schema%d%s", strings.TrimSuffix(p.Path, Extension), v, Extension)
	if _, err := os.Lstat(name); err == nil {
		return nil // of an earlier try that was cut short after it
	}
	return p.Backup(name)
}

// Backup writes a copy of the file under another name, which must not exist.
func (p *Project) Backup(path string) error {
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		return fault.New(fault.Conflict, "give another name", fmt.Errorf("back up to %s: there is already a file of that name", path))
	}
	dir, err := os.MkdirTemp(filepath.Dir(path), ".keyon-")
	if err == nil {
		defer os.RemoveAll(dir)
		aside := filepath.Join(dir, "copy")
		if _, err = p.db.Exec("VACUUM INTO ?", aside); err == nil {
			if err = syncFile(aside); err == nil {
				err = whole.Place(aside, path, false)
			}
		}
	}
	if err != nil {
		return fmt.Errorf("back up to %s: %w", path, damage(err))
	}
	return nil
}

func syncFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	defer f.Close()
	return f.Sync()
}

// within runs f in one transaction.
func (p *Project) within(f func(tx *sql.Tx) error) error {
	tx, err := p.db.BeginTx(context.Background(), nil)
	if err != nil {
		return damage(err)
	}
	if err := f(tx); err != nil {
		tx.Rollback()
		return damage(err)
	}
	return damage(tx.Commit())
}

// damage gives errors of the database their kind.
func damage(err error) error {
	e, ok := errors.AsType[*sqlite.Error](err)
	if !ok {
		return err
	}
	switch e.Code() & 0xff {
	case lib.SQLITE_CORRUPT, lib.SQLITE_NOTADB:
		return fault.New(fault.Corrupt, "keep the file as it is and go back to a copy; keyon verify says what is damaged", err)
	case lib.SQLITE_BUSY, lib.SQLITE_LOCKED:
		return fault.New(fault.Conflict, "close the other program that writes to it and try again", err)
	case lib.SQLITE_READONLY, lib.SQLITE_CANTOPEN, lib.SQLITE_PERM:
		return fault.New(fault.Invalid, "check that you may write to the file and its folder", err)
	case lib.SQLITE_FULL:
		return fault.New(fault.Internal, "the disk is full", err)
	}
	return err
}
