// Package cli is keyon at the prompt: one file a command, exit statuses, and
// how answers print. It holds no trade: every answer comes from app.
package cli

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/user"
	"runtime"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"keyon/app/build"
	"keyon/app/edit"
	"keyon/model/fault"
	"keyon/model/finding"
)

// Exit statuses.
const (
	done     = 0
	couldNot = 1
	misused  = 2
	findings = 3 // done, with findings at or above the asked level
)

// env is what a command may touch.
type env struct {
	in       io.Reader
	out, err io.Writer
	level    string
	status   int
}

// commands makes every command, in the order help lists them.
var commands = []func(e *env) *cobra.Command{
	demoCommand, newCommand, importCommand, exportCommand, checkCommand, planCommand, traceCommand, whyCommand, diffCommand, moveCommand, undoCommand, redoCommand, freezeCommand, papersCommand, partsCommand, calcCommand, verifyCommand, serveCommand,
}

// Main runs one command and gives its exit status.
func Main(args []string, in io.Reader, out, errOut io.Writer) int {
	// Memory that is never touched takes none. It makes the collector wait until
	// as much again is in use: what a plan needs lives for milliseconds.
	defer runtime.KeepAlive(make([]byte, 64<<20))
	e := &env{in: in, out: out, err: errOut}
	root := &cobra.Command{
		Use:           "keyon",
		Short:         "plans, checks and documents the wiring of one-off competition cars",
		Long:          "keyon takes a car's devices, places, loom legs and circuits, works out what is blank, says why, checks what is given, and writes the papers for the bench.\n\nWork on car electrics can start fires, and a first start can hurt people. Battery isolated first, a fuse close to the battery, an extinguisher within reach. Sporting rules, local codes and licensed practice come first.",
		SilenceUsage:  true,
		SilenceErrors: true,
	}
	root.PersistentFlags().StringVar(&e.level, "level", "stop", "findings of this severity and above give exit status 3: stop, look or note")
	root.SetArgs(args)
	root.SetIn(in)
	root.SetOut(out)
	root.SetErr(errOut)
	root.SetFlagErrorFunc(func(c *cobra.Command, err error) error {
		return fault.New(fault.Usage, "`"+c.CommandPath()+" --help` lists the flags", err)
	})
	for _, make := range commands {
		c := make(e)
		if c.Args == nil {
			c.Args = cobra.NoArgs
		}
		check := c.Args
		c.Args = func(c *cobra.Command, args []string) error {
			if err := check(c, args); err != nil {
				return fault.New(fault.Usage, "usage: "+c.UseLine(), err)
			}
			return nil
		}
		root.AddCommand(c)
	}
	if err := root.Execute(); err != nil {
		return e.fail(err)
	}
	return e.status
}

// fail prints an error with what to do, and gives the status.
func (e *env) fail(err error) int {
	fmt.Fprintf(e.err, "keyon: %v\n", err)
	if h := fault.Hint(err); h != "" {
		fmt.Fprintf(e.err, "       %s\n", h)
	}
	if b, ok := errors.AsType[*build.Broken](err); ok {
		fmt.Fprintf(e.err, "       this is a fault of the program, not of the car; nothing was changed\n%s", b.Stack)
	}
	if fault.Of(err) == fault.Usage || strings.HasPrefix(err.Error(), "unknown command") || strings.HasPrefix(err.Error(), "unknown shorthand") || strings.HasPrefix(err.Error(), "required flag") {
		return misused
	}
	return couldNot
}

// judge sets the exit status from the worst open finding.
func (e *env) judge(vs []finding.Verdict) error {
	level, ok := finding.ParseSeverity(e.level)
	if !ok {
		return fault.New(fault.Usage, "write stop, look or note", fmt.Errorf("--level %s is no severity", e.level))
	}
	if worst, any := finding.Worst(vs); any && worst >= level {
		e.status = findings
	}
	return nil
}

// json prints an answer for programs.
func (e *env) json(v any) error {
	enc := json.NewEncoder(e.out)
	enc.SetIndent("", " ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

// by says who edits: $USER, and the time now.
func by() edit.By {
	name := os.Getenv("USER")
	if u, err := user.Current(); err == nil && name == "" {
		name = u.Username
	}
	if name == "" {
		name = "somebody"
	}
	return edit.By{Who: name, When: time.Now()}
}
