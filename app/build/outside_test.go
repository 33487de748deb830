//go:build outside

package build_test

// The gate compares a thousand random edits of the example car, and holds the
// promise on more generated cars.
func init() { ternEdits, seeds = 1000, 8 }
