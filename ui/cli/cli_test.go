package cli_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"keyon/ui/cli"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"keyon": func() { os.Exit(cli.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
	})
}

// TestScripts runs testdata/*.txtar at a prompt of their own. The example cars
// lie in $EXAMPLES.
func TestScripts(t *testing.T) {
	examples, err := filepath.Abs("../../examples")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:   "testdata",
		Setup: func(e *testscript.Env) error { e.Setenv("EXAMPLES", examples); return nil },
	})
}
