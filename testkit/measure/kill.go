package main

import (
	"os"
	"os/exec"
	"strconv"

	"keyon/testkit/kill"
)

// killed kills a child that imports and edits 200 times and looks at what each
// kill left.
func killed(r *tables) error {
	exe, err := os.Executable()
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "keyon-kill-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	tally, err := kill.Loop(dir, 200, 200, func(path string, seed uint64) *exec.Cmd {
		return exec.Command(exe, killChild, path, strconv.FormatUint(seed, 10))
	})
	if err != nil {
		return err
	}
	r.table("kills", "edits acknowledged", "lost", "one edit more than acknowledged", "killed before the first edit")
	r.row(tally.Kills, tally.Acks, 0, tally.Ahead, tally.Early)
	return nil
}

// killChild is the name under which the command works as the child.
const killChild = "kill-child"

func child(path, seed string) error {
	n, err := strconv.ParseUint(seed, 10, 64)
	if err != nil {
		return err
	}
	return kill.Work(path, n, os.Stdout)
}
