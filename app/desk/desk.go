// Package desk is a car that people work on: its project file open, its plan
// kept up to date after every edit, and every question a page asks answered
// from one present View.
//
// It decides when the car is planned anew, what a cell shows beside what was
// typed, and what differs from one view to the next. Edits are app/edit's,
// plans app/build's, papers app/papers'. It takes the clock as a parameter and
// leaves showing to ui.
package desk

import (
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"keyon/app/build"
	"keyon/app/edit"
	"keyon/model/design"
	"keyon/model/part"
	"keyon/model/plan"
)

// Desk is an open car. Its methods may be called from several goroutines.
type Desk struct {
	Path  string
	clock func() time.Time
	run   Planner
	car   *edit.Car
	mem   *build.Memory

	editing sync.Mutex   // held from looking at the book to writing to it
	edits   atomic.Int64 // counted up by each edit
	view    atomic.Pointer[View]
	wake    chan struct{}
	stop    chan struct{}
	done    sync.WaitGroup

	trying   sync.Mutex
	trialMem *build.Memory

	mu     sync.Mutex
	ready  chan struct{} // closed and made anew with each view
	listen map[chan Event]struct{}
	last   Event // the newest edit, told with the view it led to

	incoming []*Incoming
}

// Event says that there is a new view, or that an edit is saved and its view
// still to come.
type Event struct {
	Edit    int64  // number of the newest edit
	Planned bool   // a view that includes it is there
	Who     string // who made it; blank: another program
	What    string
}

// watch is how often the file is looked at for edits of another program.
const watch = 400 * time.Millisecond

// Planner plans a car; build.Run but in tests.
type Planner func(*design.Design, part.Catalogue, *build.Memory) (*plan.Plan, error)

// Open opens a project file and begins to plan it.
func Open(path string, clock func() time.Time) (*Desk, error) {
	return OpenWith(path, clock, build.Run)
}

// OpenWith is Open with another planner.
func OpenWith(path string, clock func() time.Time, run Planner) (*Desk, error) {
	car, err := edit.Open(path)
	if err != nil {
		return nil, err
	}
	k := &Desk{Path: path, clock: clock, run: run, car: car, mem: build.NewMemory(), wake: make(chan struct{}, 1), stop: make(chan struct{}), ready: make(chan struct{}), listen: map[chan Event]struct{}{}}
	k.edits.Store(1)
	k.view.Store(k.remembered())
	k.done.Add(2)
	go k.plans()
	go k.watches()
	k.plan()
	return k, nil
}

// Close ends planning and closes the file.
func (k *Desk) Close() error {
	close(k.stop)
	k.done.Wait()
	return k.car.Close()
}

// Name is the file's name without its folder.
func (k *Desk) Name() string { return filepath.Base(k.Path) }

// Now is the present view. Its plan may lag behind the newest edit, or be
// missing right after opening: Fresh waits for it.
func (k *Desk) Now() *View { return k.view.Load() }

// Fresh is the view that includes every edit made so far, waited for at most
// so long; after that the present one.
func (k *Desk) Fresh(wait time.Duration) *View {
	want := k.edits.Load()
	late := time.NewTimer(wait)
	defer late.Stop()
	for {
		k.mu.Lock()
		ready := k.ready
		k.mu.Unlock()
		if v := k.Now(); v.Edit >= want && (v.Plan != nil || v.Broken != nil) {
			return v
		}
		select {
		case <-ready:
		case <-late.C:
			return k.Now()
		case <-k.stop:
			return k.Now()
		}
	}
}

// Listen gives events from now on until stop is called. A listener that is
// too slow misses events, never the last one.
func (k *Desk) Listen() (events <-chan Event, stop func()) {
	c := make(chan Event, 1)
	k.mu.Lock()
	k.listen[c] = struct{}{}
	k.mu.Unlock()
	return c, func() {
		k.mu.Lock()
		delete(k.listen, c)
		k.mu.Unlock()
	}
}

// tell sends an event to all listeners; one that waits is replaced.
func (k *Desk) tell(e Event) {
	k.mu.Lock()
	defer k.mu.Unlock()
	for c := range k.listen {
		select {
		case <-c:
		default:
		}
		c <- e
	}
}

// edited counts an edit, tells of it and starts planning.
func (k *Desk) edited(who, what string) int64 {
	k.mu.Lock()
	n := k.edits.Add(1)
	k.last = Event{Edit: n, Who: who, What: what}
	e := k.last
	k.mu.Unlock()
	k.plan()
	k.tell(e)
	return n
}

func (k *Desk) plan() {
	select {
	case k.wake <- struct{}{}:
	default: // one is waiting already and will see this edit too
	}
}

// quiet is how long nobody edits before a plan is kept in the file.
const quiet = 2 * time.Second

func (k *Desk) plans() {
	defer k.done.Done()
	idle := time.NewTimer(quiet)
	defer idle.Stop()
	var kept *View
	for {
		select {
		case <-k.stop:
			if v := k.Now(); v != kept {
				k.remember(v)
			}
			return
		case <-idle.C:
			if v := k.Now(); v != kept {
				k.remember(v)
				kept = v
			}
			continue
		case <-k.wake:
		}
		n := k.edits.Load()
		v := k.planned(k.car.Book())
		v.Edit = n
		k.mu.Lock()
		k.view.Store(v)
		close(k.ready)
		k.ready = make(chan struct{})
		e := k.last
		k.mu.Unlock()
		e.Edit, e.Planned = n, true
		k.tell(e)
		idle.Reset(quiet)
	}
}

// watches looks for edits that another program made.
func (k *Desk) watches() {
	defer k.done.Done()
	tick := time.NewTicker(watch)
	defer tick.Stop()
	for {
		select {
		case <-k.stop:
			return
		case <-tick.C:
			// an error here is met again, and told, at the next edit
			if again, err := k.car.Refresh(); err == nil && again {
				k.edited("", "edited by another program")
			}
		}
	}
}

// View is the car at one moment: what was typed, and what follows from it. It
// is never changed; what is asked for often is worked out once.
type View struct {
	Path      string
	Edit      int64 // the newest edit it includes
	Book      *design.Book
	Design    *design.Design
	Catalogue part.Catalogue // with the shop's own parts
	Plan      *plan.Plan     // nil: not worked out yet
	Broken    error          // a stage that broke: the tables above it stand
	Past      *Past          // where Plan is nil: what an earlier run kept of the same tables

	lazy
}

// read makes the view of a book without a plan.
func read(b *design.Book) *View {
	v := &View{Book: b, Design: design.Read(b)}
	v.Catalogue, _ = part.Embedded().With(v.Design)
	return v
}

// planned makes the view of a book.
func (k *Desk) planned(b *design.Book) *View {
	v := read(b)
	v.Path = k.Path
	v.Plan, v.Broken = k.run(v.Design, part.Embedded(), k.mem)
	if v.Broken != nil && v.Plan != nil {
		v.Plan.Verdicts = append(v.Plan.Verdicts, v.Design.Findings...)
		filled(v.Plan)
	}
	return v
}

// Whole says that every stage has run.
func (v *View) Whole() bool { return v.Plan != nil && v.Broken == nil }

// CarName is the car's name, or that of its file.
func (v *View) CarName() string {
	if v.Design.Car.Name != "" {
		return v.Design.Car.Name
	}
	return strings.TrimSuffix(filepath.Base(v.Path), filepath.Ext(v.Path))
}
