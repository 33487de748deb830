package part

import "testing"

// TestBridges: contact sizes of MIL-DTL-38999 Table IV take 28–22 (22D),
// 24–20 (20), 20–16 (16) and 14–12 (12), so 22D and 20 share a gauge, 22D and
// 16 don't, nor do 22D and 12.
func TestBridges(t *testing.T) {
	b := NewBridges(Embedded())
	for _, x := range []struct {
		a, b string
		want bool
	}{{"22D", "22D", true}, {"22D", "20", true}, {"20", "20", true}, {"22D", "16", false}, {"22D", "12", false}, {"16", "16", true}, {"12", "12", true}, {"16", "12", false}} {
		got := b.Both(Socket{Cavity{Size: x.a}, true}, Socket{Cavity{Size: x.b}, true})
		if got != x.want {
			t.Errorf("one wire in sizes %s and %s: %v, want %v", x.a, x.b, got, x.want)
		}
	}
}
