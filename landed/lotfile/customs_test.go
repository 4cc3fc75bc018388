package lotfile_test

import (
	"testing"

	"lotcost/landed/customs"
)

// TestModes: how the post carries a parcel is only asked of one that it carries.
func TestModes(t *testing.T) {
	for keys, want := range map[string]customs.Mode{
		"use: personal": customs.Post, "by: post": customs.Post, "post: letters": customs.Letters, "by: post, post: parcels": customs.Parcels,
		"by: courier": customs.Courier, "by: courier, post: letters": customs.Courier, "by: cargo": customs.Cargo,
	} {
		f := parse(t, "lotcost: 1\nhome: CAD\ndate: 2026-10-03\nfrom: JP\nto: CA-ON\nlots: [{id: a, price: 10 CAD, items: [{id: b}]}]\ncustoms: {"+keys+"}\n")
		if got := f.Haul.Border.Mode; got != want {
			t.Errorf("%s: mode %d, want %d", keys, got, want)
		}
	}
}
