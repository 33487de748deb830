package kill

import (
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"testing"
)

// TestMain is the child too.
func TestMain(m *testing.M) {
	if path := os.Getenv("KILL_CHILD"); path != "" {
		seed, err := strconv.ParseUint(os.Getenv("KILL_SEED"), 10, 64)
		if err == nil {
			err = Work(path, seed, os.Stdout)
		}
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Exit(m.Run())
}

func TestKill(t *testing.T) {
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	tally, err := Loop(t.TempDir(), 50, 1, func(path string, seed uint64) *exec.Cmd {
		cmd := exec.Command(exe)
		cmd.Env = append(os.Environ(), "KILL_CHILD="+path, "KILL_SEED="+strconv.FormatUint(seed, 10))
		return cmd
	})
	t.Logf("%+v", tally)
	if err != nil {
		t.Fatal(err)
	}
	if tally.Acks < tally.Kills {
		t.Errorf("%+v: the child hardly worked", tally)
	}
}
