package build

import (
	"encoding/binary"
	"math"
	"slices"
	"sync"
	"time"

	"keyon/num/packing"
)

// Memory keeps pieces of work between plans of one car, keyed by content, so
// that an edit costs only what it changed. A plan made with a memory has the
// same bytes as one made without.
type Memory struct {
	// Trace, where set, is told how long each stage and check took; checks call
	// it side by side. It changes no plan.
	Trace func(name string, took time.Duration)

	mu    sync.Mutex
	packs map[string]packing.Result
}

// mostPacks bounds the memory: about ten cars' worth of different legs.
const mostPacks = 20000

// NewMemory is an empty memory.
func NewMemory() *Memory { return &Memory{packs: map[string]packing.Result{}} }

// Pack packs circles of these diameters (mm) at plan effort. Equal sets of
// diameters are packed once; circles come back in the order asked for.
func (m *Memory) Pack(diameters []float64) packing.Result {
	order := make([]int, len(diameters))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case diameters[a] > diameters[b]:
			return -1
		case diameters[a] < diameters[b]:
			return 1
		}
		return 0
	})
	sorted := make([]float64, len(order))
	key := make([]byte, 0, 8*len(order))
	for i, o := range order {
		sorted[i] = diameters[o]
		key = binary.LittleEndian.AppendUint64(key, math.Float64bits(sorted[i]))
	}
	m.mu.Lock()
	r, ok := m.packs[string(key)]
	m.mu.Unlock()
	if !ok {
		var err error
		if r, err = packing.Pack(sorted, packing.Plan); err != nil {
			panic("build: pack: " + err.Error()) // stage/bundle passes only positive finite diameters
		}
		m.mu.Lock()
		if len(m.packs) >= mostPacks {
			clear(m.packs)
		}
		m.packs[string(key)] = r
		m.mu.Unlock()
	}
	out := r
	out.Circles = make([]packing.Circle, len(order))
	for i, o := range order {
		out.Circles[o] = r.Circles[i]
	}
	return out
}

// traced runs a stage or check and tells how long it took.
func (m *Memory) traced(name string, f func()) {
	if m.Trace == nil {
		f()
		return
	}
	from := time.Now()
	f()
	m.Trace(name, time.Since(from))
}
