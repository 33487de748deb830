// Package door says who on the shop's own network may come to the desk: a
// phone shows a code that stands on the desk page, and is let in for a day.
//
// It decides how long codes and guests last and how often one may guess. It
// takes for granted that the desk page itself is seen only by who sits at it,
// and that the network is the shop's: nothing is encrypted on the way. Where
// to listen and how a guest is told again is left to ui/web.
package door

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode"

	"keyon/model/fault"
)

// How long and how often; judgement: a code of 40 bits that 20 guesses end
// is guessed once in 5e10 tries.
const (
	CodeLasts  = 10 * time.Minute
	GuestStays = 12 * time.Hour
	letters    = "0123456789ABCDEFGHJKMNPQRSTVWXYZ" // no I, L, O, U, which people misread
	codeLength = 8
	mostWrong  = 20 // of one code, from anywhere: then the code is void
	mostFrom   = 5  // wrong ones from one address within CodeLasts
	mostGuests = 50
)

// Code is what a phone has to show.
type Code struct {
	Text    string // "7K3M-Q2XD"
	MayEdit bool
	Until   time.Time
}

// Guest is a phone that was let in.
type Guest struct {
	ID      string // to send it away by; not what it shows
	Name    string
	From    string // address
	MayEdit bool
	Since   time.Time
	Seen    time.Time
}

// Door keeps the present code and the guests. They are gone when the program
// ends.
type Door struct {
	clock func() time.Time

	mu     sync.Mutex
	code   Code
	wrong  int
	from   map[string][]time.Time // wrong guesses by address
	guests map[[32]byte]*Guest    // by hash of what they show
}

// New makes a closed door.
func New(clock func() time.Time) *Door {
	return &Door{clock: clock, from: map[string][]time.Time{}, guests: map[[32]byte]*Guest{}}
}

// Open makes a code; the one before is void.
func (d *Door) Open(mayEdit bool) Code {
	d.mu.Lock()
	defer d.mu.Unlock()
	var raw [codeLength]byte
	rand.Read(raw[:]) // never fails: crypto/rand ends the program first
	for i := range raw {
		raw[i] = letters[raw[i]%32]
	}
	d.code = Code{Text: string(raw[:4]) + "-" + string(raw[4:]), MayEdit: mayEdit, Until: d.clock().Add(CodeLasts)}
	d.wrong = 0
	return d.code
}

// Shut makes the code void. Guests stay.
func (d *Door) Shut() {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.code = Code{}
}

// Code is the present code; ok is false where none holds.
func (d *Door) Code() (c Code, ok bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.code, d.valid()
}

func (d *Door) valid() bool { return d.code.Text != "" && d.clock().Before(d.code.Until) }

var errWrong = errors.New("the code is wrong, or no longer holds")

// Enter lets a guest in who shows the code, and gives what it shows from
// then on. Wrong codes are counted by address and in all.
func (d *Door) Enter(from, code, name string) (token string, err error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	now := d.clock()
	d.from[from] = slices.DeleteFunc(d.from[from], func(t time.Time) bool { return now.Sub(t) > CodeLasts })
	if len(d.from[from]) >= mostFrom {
		return "", fault.New(fault.Usage, fmt.Sprintf("wait %d minutes, or ask at the desk", int(CodeLasts.Minutes())), ErrTooOften)
	}
	if !d.valid() || subtle.ConstantTimeCompare([]byte(folded(code)), []byte(folded(d.code.Text))) != 1 {
		d.from[from] = append(d.from[from], now)
		if d.wrong++; d.wrong >= mostWrong {
			d.code = Code{}
		}
		return "", fault.New(fault.Usage, "look at the desk page: it shows the code and makes a new one", errWrong)
	}
	if name = clean(name); name == "" {
		return "", fault.New(fault.Usage, "write your name: it stands beside your edits", errors.New("a guest without a name"))
	}
	if len(d.live(now)) >= mostGuests {
		return "", fault.New(fault.Usage, "send somebody away at the desk", errors.New("no more guests can be let in"))
	}
	var raw [32]byte
	rand.Read(raw[:])
	token = hex.EncodeToString(raw[:])
	delete(d.from, from)
	d.guests[sha256.Sum256([]byte(token))] = &Guest{ID: hex.EncodeToString(raw[:4]) + fmt.Sprint(len(d.guests)), Name: name, From: from, MayEdit: d.code.MayEdit, Since: now, Seen: now}
	return token, nil
}

// ErrTooOften says that an address has guessed too often.
var ErrTooOften = errors.New("too many wrong codes from here")

// folded reads codes as people type them: small letters, no hyphen, O for 0.
func folded(code string) string {
	return strings.Map(func(r rune) rune {
		switch r = unicode.ToUpper(r); r {
		case 'O':
			return '0'
		case 'I', 'L':
			return '1'
		case '-', ' ':
			return -1
		}
		return r
	}, code)
}

// clean is a name of at most 40 letters on one line.
func clean(name string) string {
	name = strings.Join(strings.Fields(strings.ToValidUTF8(name, "")), " ")
	if r := []rune(name); len(r) > 40 {
		name = string(r[:40])
	}
	return name
}

// Who is the guest who shows a token; ok is false for nobody.
func (d *Door) Who(token string) (g Guest, ok bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	x := d.guests[sha256.Sum256([]byte(token))]
	if x == nil || d.clock().Sub(x.Since) > GuestStays {
		return g, false
	}
	x.Seen = d.clock()
	return *x, true
}

// Guests lists who is in, first come first.
func (d *Door) Guests() []Guest {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.live(d.clock())
}

func (d *Door) live(now time.Time) []Guest {
	var out []Guest
	for k, g := range d.guests {
		if now.Sub(g.Since) > GuestStays {
			delete(d.guests, k)
			continue
		}
		out = append(out, *g)
	}
	slices.SortFunc(out, func(a, b Guest) int {
		if c := a.Since.Compare(b.Since); c != 0 {
			return c
		}
		return strings.Compare(a.ID, b.ID)
	})
	return out
}

// Away sends a guest away; all for "".
func (d *Door) Away(id string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	for k, g := range d.guests {
		if id == "" || g.ID == id {
			delete(d.guests, k)
		}
	}
}
