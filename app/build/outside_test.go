//go:build outside

package build_test

// The gate compares a thousand random edits.
func init() { edits = 1000 }
