package door

import (
	"errors"
	"strings"
	"testing"
	"time"
)

func at(t *time.Time) func() time.Time { return func() time.Time { return *t } }

func TestEnter(t *testing.T) {
	now := time.Unix(0, 0)
	d := New(at(&now))
	if _, err := d.Enter("a", "", "Ann"); err == nil {
		t.Error("Enter without any code made: let in")
	}
	c := d.Open(true)
	for _, typed := range []string{c.Text, strings.ToLower(c.Text), strings.ReplaceAll(c.Text, "-", ""), strings.ReplaceAll(c.Text, "0", "o")} {
		token, err := d.Enter("a", typed, " Ann  of the\nshop ")
		if err != nil {
			t.Fatalf("Enter(%q): %v", typed, err)
		}
		g, ok := d.Who(token)
		if !ok || g.Name != "Ann of the shop" || !g.MayEdit {
			t.Errorf("Who(%q) = %+v, %v", token, g, ok)
		}
	}
	if n := len(d.Guests()); n != 4 {
		t.Errorf("%d guests, want 4", n)
	}
	if _, err := d.Enter("a", c.Text, " "); err == nil {
		t.Error("a guest without a name: let in")
	}
	if _, ok := d.Who("made up"); ok {
		t.Error("a made-up token: known")
	}
	now = now.Add(CodeLasts)
	if _, err := d.Enter("a", c.Text, "Ann"); err == nil {
		t.Error("an old code: let in")
	}
}

func TestRevoked(t *testing.T) {
	now := time.Unix(0, 0)
	d := New(at(&now))
	c := d.Open(false)
	one, _ := d.Enter("a", c.Text, "Ann")
	two, _ := d.Enter("b", c.Text, "Ben")
	d.Shut()
	if _, err := d.Enter("c", c.Text, "Cid"); err == nil {
		t.Error("a void code: let in")
	}
	g, ok := d.Who(one)
	if !ok || g.MayEdit {
		t.Errorf("Who(one) = %+v, %v after Shut: guests stay as they are", g, ok)
	}
	d.Away(g.ID)
	if _, ok := d.Who(one); ok {
		t.Error("sent away, and still known")
	}
	if _, ok := d.Who(two); !ok {
		t.Error("the other was sent away too")
	}
	now = now.Add(GuestStays + time.Second)
	if _, ok := d.Who(two); ok {
		t.Error("known after a day")
	}
}

func TestGuessing(t *testing.T) {
	now := time.Unix(0, 0)
	d := New(at(&now))
	c := d.Open(true)
	for range mostFrom {
		if _, err := d.Enter("a", "0000-0000", "Eve"); err == nil || errors.Is(err, ErrTooOften) {
			t.Fatalf("a wrong code: %v", err)
		}
	}
	if _, err := d.Enter("a", c.Text, "Eve"); !errors.Is(err, ErrTooOften) {
		t.Errorf("after %d guesses: %v, want %v", mostFrom, err, ErrTooOften)
	}
	if _, err := d.Enter("b", c.Text, "Ann"); err != nil {
		t.Errorf("from elsewhere: %v", err)
	}
	now = now.Add(CodeLasts / 2)
	for i := range mostWrong {
		d.Enter(string(rune('c'+i)), "0000-0000", "Eve")
	}
	if _, ok := d.Code(); ok {
		t.Errorf("after %d guesses from everywhere the code still holds", mostWrong)
	}
	now = now.Add(CodeLasts + time.Second)
	c = d.Open(true)
	if _, err := d.Enter("a", c.Text, "Eve"); err != nil {
		t.Errorf("after waiting: %v", err)
	}
}

func TestCodesDiffer(t *testing.T) {
	now := time.Unix(0, 0)
	d := New(at(&now))
	seen := map[string]bool{}
	for range 1000 {
		c := d.Open(true).Text
		if len(c) != codeLength+1 || strings.Trim(c, letters+"-") != "" || seen[c] {
			t.Fatalf("code %q", c)
		}
		seen[c] = true
	}
}
