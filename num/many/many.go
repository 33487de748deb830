// Package many does independent pieces of work on all threads. Each piece
// writes only what is its own, so the outcome doesn't depend on how many
// threads there are or which piece ends first.
package many

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Do calls f for each i from 0 to n-1, several at a time, and returns when all
// have ended. A panic in one is raised again here, that of the lowest i.
func Do(n int, f func(i int)) {
	broken := make([]any, n)
	var next atomic.Int64
	var all sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		all.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				func() {
					defer func() { broken[i] = recover() }()
					f(i)
				}()
			}
		})
	}
	all.Wait()
	for _, b := range broken {
		if b != nil {
			panic(b)
		}
	}
}
