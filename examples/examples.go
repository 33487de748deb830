// Package examples carries small complete cars as tables, read by people,
// written out by the demo, and run by tests.
package examples

import (
	"embed"
	"io/fs"
)

//go:embed all:retrofit all:roadcar all:tern
var files embed.FS

// Names lists the examples.
func Names() []string { return []string{"retrofit", "roadcar", "tern"} }

// Folder is an example's folder of CSV tables. An unknown name panics.
func Folder(name string) fs.FS {
	f, err := fs.Sub(files, name)
	if err != nil {
		panic("examples: " + err.Error())
	}
	if _, err := fs.Stat(f, "Car.csv"); err != nil {
		panic("examples: " + err.Error())
	}
	return f
}
