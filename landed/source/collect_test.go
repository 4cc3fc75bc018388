package source_test

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"testing"

	"lotcost/landed/internal/collect"
	"lotcost/landed/source"

	"pgregory.net/rapid"
)

func TestAddErr(t *testing.T) {
	at := source.Origin{File: "a", Line: 1, Column: 2}
	inner := &source.Fault{At: source.Origin{File: "b"}, What: "inner"}
	var r collect.Report
	r.AddErr(at, "x", nil)
	if r.Len() != 0 || r.Err() != nil {
		t.Errorf("nothing was added, but there is %v", r.Err())
	}
	r.AddErr(at, "x", io.ErrUnexpectedEOF)
	r.AddErr(at, "x", inner)
	r.AddErr(at, "x", fmt.Errorf("more: %w", source.Faults{inner, inner}))
	want := "a:1:2: x: unexpected EOF\nb: inner\nb: inner\nb: inner"
	if got := r.Err().Error(); got != want || r.Len() != 4 {
		t.Errorf("got %q of %d, want %q", got, r.Len(), want)
	}
	if !errors.Is(r.Err(), io.ErrUnexpectedEOF) {
		t.Error("the cause is lost")
	}
}

func TestManyFaults(t *testing.T) {
	var r collect.Report
	for i := range source.MaxFaults + 7 {
		r.Add(&source.Fault{At: source.Origin{File: "a", Line: i + 1}, What: "wrong"})
	}
	var many source.Faults
	if !errors.As(r.Err(), &many) || len(many) != source.MaxFaults+1 || r.Len() != source.MaxFaults+7 {
		t.Fatalf("%d faults told, %d found", len(many), r.Len())
	}
	if got, want := many[source.MaxFaults].Error(), "and 7 more: put these right first"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// What a report did not keep is counted by one that takes over what it tells, and so are its
// warnings.
func TestAll(t *testing.T) {
	var r, next collect.Report
	if r.All() != nil {
		t.Errorf("nothing was added, but there is %v", r.All())
	}
	for range source.MaxFaults + 7 {
		r.Add(&source.Fault{What: "wrong"})
	}
	r.Add(&source.Fault{What: "strange", Warning: true})
	next.Add(&source.Fault{What: "wrong too"})
	next.AddAll(r.All())
	reported := next.Err().(source.Faults)
	if got, want := reported[len(reported)-1].Error(), "and 8 more: put these right first"; next.Len() != source.MaxFaults+8 || got != want {
		t.Errorf("%d faults, and at last %q", next.Len(), got)
	}
	if got := next.Warnings(); len(got) != 1 || got[0].What != "strange" {
		t.Errorf("the warnings are %v", got)
	}
}

// A report tells every fault once, file by file in the order in which the
// files were first found wrong, and in each in the order of the text; faults of
// one place keep their order.
func TestReportOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		origin := rapid.Custom(func(t *rapid.T) source.Origin {
			return source.Origin{File: rapid.SampledFrom([]string{"", "a", "b", "c"}).Draw(t, "file"),
				Line: rapid.IntRange(0, 4).Draw(t, "line"), Column: rapid.IntRange(0, 3).Draw(t, "column")}
		})
		places := rapid.SliceOfN(origin, 1, 30).Draw(t, "places")
		var r collect.Report
		var files []string
		for i, at := range places {
			r.Add(&source.Fault{At: at, What: fmt.Sprintf("%02d", i)})
			if !slices.Contains(files, at.File) {
				files = append(files, at.File)
			}
		}
		var got source.Faults
		if !errors.As(r.Err(), &got) || len(got) != len(places) {
			t.Fatalf("%d faults of %d", len(got), len(places))
		}
		key := func(f *source.Fault) string {
			return fmt.Sprintf("%d %d %d %s", slices.Index(files, f.At.File), f.At.Line, f.At.Column, f.What)
		}
		for i := 1; i < len(got); i++ {
			if key(got[i-1]) >= key(got[i]) {
				t.Fatalf("%v stands before %v", got[i-1], got[i])
			}
		}
	})
}
