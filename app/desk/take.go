package desk

import (
	"crypto/sha256"
	"encoding/hex"

	"keyon/app/edit"
	"keyon/store/workbook"
)

// Incoming is a workbook, or a foreign table, that somebody handed over and
// that is looked at before it is taken.
type Incoming struct {
	ID      string
	Name    string // of the file
	Reading *workbook.Reading
	Tables  []*workbook.Foreign // foreign tables in it
}

// mostIncoming bounds what waits to be looked at.
const mostIncoming = 8

// hold keeps what was handed over until it is taken; the oldest makes room.
func (k *Desk) hold(name string, data []byte, in *Incoming) *Incoming {
	sum := sha256.Sum256(append([]byte(name+"\x00"), data...))
	in.ID, in.Name = hex.EncodeToString(sum[:8]), name
	k.mu.Lock()
	defer k.mu.Unlock()
	for i, x := range k.incoming {
		if x.ID == in.ID {
			k.incoming = append(k.incoming[:i], k.incoming[i+1:]...)
			break
		}
	}
	k.incoming = append(k.incoming, in)
	if len(k.incoming) > mostIncoming {
		k.incoming = k.incoming[1:]
	}
	return in
}

// Incoming is what was handed over under an ID; nil where it had to make room.
func (k *Desk) Incoming(id string) *Incoming {
	k.mu.Lock()
	defer k.mu.Unlock()
	for _, in := range k.incoming {
		if in.ID == id {
			return in
		}
	}
	return nil
}

// Hand reads a workbook, or a CSV file named after a table, of our tables.
func (k *Desk) Hand(name string, data []byte) (*Incoming, error) {
	r, err := workbook.ReadIn(name, data, k.Now().Design.Car.Units.Decimal)
	if err != nil {
		return nil, err
	}
	return k.hold(name, data, &Incoming{Reading: r}), nil
}

// HandForeign reads other people's tables from a file.
func (k *Desk) HandForeign(name string, data []byte) (*Incoming, error) {
	tables, err := k.car.ReadForeign(name, data)
	if err != nil {
		return nil, err
	}
	return k.hold(name, data, &Incoming{Tables: tables}), nil
}

// HandPasted reads other people's table as pasted from a spreadsheet.
func (k *Desk) HandPasted(text string) (*Incoming, error) {
	f, err := workbook.Pasted(text)
	if err != nil {
		return nil, err
	}
	return k.hold("pasted text", []byte(text), &Incoming{Tables: []*workbook.Foreign{f}}), nil
}

// Import shows what taking a workbook over would change.
func (k *Desk) Import(in *Incoming) *edit.Preview { return k.car.Import(in.Reading) }

// Take takes a workbook over as it was shown.
func (k *Desk) Take(in *Incoming, who string) (Done, error) {
	k.editing.Lock()
	defer k.editing.Unlock()
	if err := k.car.Take(k.car.Import(in.Reading), edit.By{Who: who, When: k.clock()}); err != nil {
		return Done{}, err
	}
	return Done{Edit: k.edited(who, "import "+in.Name)}, nil
}

// Foreign shows what taking a foreign table over would change. columns nil
// takes what was said for such headings before, or guesses.
func (k *Desk) Foreign(f *workbook.Foreign, to edit.Target, columns map[string]string) (*edit.ForeignPreview, error) {
	return k.car.Foreign(f, to, columns)
}

// TakeForeign takes a foreign table over with the roles that were confirmed.
func (k *Desk) TakeForeign(p *edit.ForeignPreview, roles []edit.RoleGuess, who string) (Done, error) {
	k.editing.Lock()
	defer k.editing.Unlock()
	if err := k.car.TakeForeign(p, roles, edit.By{Who: who, When: k.clock()}); err != nil {
		return Done{}, err
	}
	return Done{Edit: k.edited(who, "take over "+p.From)}, nil
}
