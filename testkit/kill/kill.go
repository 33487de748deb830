// Package kill works on a project in a process of its own, kills that process
// at moments drawn from a seed, and looks at what is left: every edit that was
// acknowledged must be there, at most one that was not may be, and the file
// must open and verify clean.
package kill

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"keyon/app/edit"
	"keyon/model/fault"
	"keyon/model/settle"
	"keyon/store/workbook"
)

// counter is a small generator, so that a seed gives the same work anywhere
// (SplitMix64, Steele et al. 2014).
type counter uint64

func (c *counter) below(n int) int {
	*c += 0x9e3779b97f4a7c15
	z := uint64(*c)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return int((z ^ z>>31) % uint64(n))
}

const who = "anna"

// Work is the child: it makes the project at path where there is none, then
// imports and edits without end. After each edit that has returned it writes a
// line: the number of edits so far and the hash of the book.
func Work(path string, seed uint64, acks io.Writer) error {
	car, err := edit.Open(path)
	if fault.Of(err) == fault.NotFound {
		car, err = edit.Create(path)
	}
	if err != nil {
		return err
	}
	defer car.Close()
	groups, err := car.File().Groups("")
	if err != nil {
		return err
	}
	c := counter(seed)
	for n := len(groups); ; n++ {
		if err := step(car, &c, n); err != nil {
			return fmt.Errorf("edit %d: %w", n, err)
		}
		if _, err := fmt.Fprintf(acks, "%d %s\n", n+1, car.Book().Hash()); err != nil {
			return err
		}
	}
}

// step makes exactly one edit.
func step(car *edit.Car, c *counter, n int) error {
	by := edit.By{Who: who, When: time.Unix(int64(n), 0)}
	book := car.Book()
	s := book.Sheet("Circuits")
	what := c.below(10)
	if what == 4 {
		if _, err := car.Undo(by); fault.Of(err) != fault.NotFound {
			return err
		}
		what = 0
	}
	if len(s.Rows) == 0 {
		what = 0
	}
	switch what {
	case 0, 1: // a list of its own making, different each time
		var b strings.Builder
		b.WriteString("circuit,from,from pin,to,to pin,note,shop note\n")
		for i := range 20 + c.below(200) {
			fmt.Fprintf(&b, "C%d,ECU,%d,DEV%d,1,edit %d,%d\n", i, i, c.below(9), n, c.below(99))
		}
		r, err := workbook.Read("Circuits.csv", []byte(b.String()))
		if err != nil {
			return err
		}
		return car.Take(car.Import(r), by)
	case 2:
		_, err := car.Add([]edit.NewRow{{Table: "Circuits", Cells: map[string]string{"circuit": fmt.Sprint("ADDED ", n)}}}, by)
		return err
	case 3:
		return car.Delete(book, "Circuits", []string{s.Rows[c.below(len(s.Rows))].UID}, by)
	}
	var block []edit.Write
	for range 1 + c.below(3) {
		at := settle.Cell{Table: "Circuits", Row: s.Rows[c.below(len(s.Rows))].UID, Column: "colour"}
		text := fmt.Sprint("edit ", n, " ", len(block))
		saw := ""
		for i := range s.Rows {
			if s.Rows[i].UID == at.Row {
				saw = s.Text(i, at.Column)
			}
		}
		block = append(block, edit.Write{Cell: at, Saw: saw, Text: text})
	}
	return car.Paste("paste", block, by)
}

// Tally is what a loop of kills found.
type Tally struct {
	Kills int
	Acks  int // edits acknowledged
	Ahead int // kills after which one edit more was there than acknowledged
	Early int // kills before the first acknowledgement
}

// Loop kills a working child so many times. start gives the command of a child
// that calls Work on path with the seed and its standard output. An error says
// what was lost.
func Loop(dir string, kills int, seed uint64, start func(path string, seed uint64) *exec.Cmd) (Tally, error) {
	var t Tally
	c := counter(seed)
	path, acked, hash := "", 0, ""
	for ; t.Kills < kills; t.Kills++ {
		if t.Kills%10 == 0 { // a new file, so that making one is hit too
			path, acked, hash = filepath.Join(dir, fmt.Sprintf("%d.keyon", t.Kills/10)), 0, ""
		}
		cmd := start(path, uint64(c.below(1<<30)))
		var out, errs bytes.Buffer
		cmd.Stdout, cmd.Stderr = &out, &errs
		if err := cmd.Start(); err != nil {
			return t, err
		}
		time.Sleep(time.Duration(c.below(150_000)) * time.Microsecond)
		if err := cmd.Process.Kill(); err != nil {
			return t, fmt.Errorf("kill %d: the child ended by itself: %w: %s", t.Kills, err, &errs)
		}
		var exit *exec.ExitError
		if err := cmd.Wait(); !errors.As(err, &exit) || exit.Exited() {
			return t, fmt.Errorf("kill %d: the child ended by itself: %v: %s", t.Kills, err, &errs)
		}
		before := acked
		lines := bufio.NewReader(&out)
		for {
			line, err := lines.ReadString('\n')
			if err != nil {
				break // a line cut short acknowledges nothing
			}
			if _, err := fmt.Sscan(line, &acked, &hash); err != nil {
				return t, fmt.Errorf("kill %d: the child wrote %q", t.Kills, line)
			}
			t.Acks++
		}
		if acked == before {
			t.Early++
		}
		ahead, left, err := look(path, acked, hash)
		if err != nil {
			return t, fmt.Errorf("kill %d after %d edits: %w", t.Kills, acked, err)
		}
		if ahead {
			t.Ahead++
		}
		acked, hash = left.edits, left.hash
	}
	return t, nil
}

type state struct {
	edits int
	hash  string
}

// look judges what a kill left. It takes back the one edit that was not
// acknowledged, if there is one, to see the book as acknowledged.
func look(path string, acked int, hash string) (ahead bool, left state, err error) {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		if acked > 0 {
			return false, left, errors.New("the file is gone")
		}
		return false, left, nil
	}
	car, err := edit.Open(path)
	if err != nil {
		return false, left, err
	}
	defer car.Close()
	problems, err := car.File().Verify()
	if err != nil {
		return false, left, err
	}
	if len(problems) > 0 {
		return false, left, fmt.Errorf("%d problems, first: %s", len(problems), problems[0].What)
	}
	groups, err := car.File().Groups("")
	if err != nil {
		return false, left, err
	}
	switch n := len(groups) - acked; {
	case n < 0:
		return false, left, fmt.Errorf("%d acknowledged edits are lost", -n)
	case n > 1:
		return false, left, fmt.Errorf("%d edits are there that nobody acknowledged", n)
	case n == 1:
		ahead = true
		g := groups[len(groups)-1]
		undo := car.Undo
		if g.Undoes != 0 {
			undo = car.Redo
		}
		if _, err := undo(edit.By{Who: who, When: time.Unix(int64(len(groups)), 0)}); err != nil {
			return false, left, fmt.Errorf("take back the edit that was not acknowledged: %w", err)
		}
		acked += 2
	}
	left = state{acked, car.Book().Hash()}
	if hash != "" && left.hash != hash {
		return false, left, fmt.Errorf("the book is not the one that was acknowledged")
	}
	return ahead, left, nil
}
