//go:build outside

package audit_test

// The gate audits five cars of 10,000 wires too.
func init() { large = 5 }
