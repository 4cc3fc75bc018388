package desk

import (
	"context"
	"errors"
	"net/http"
	"time"
)

// A page is shown within patience with what was found until then. It then asks once more, and
// waits as long as it is shown and nothing else is typed, but no longer than longest.
const (
	usualPatience = 400 * time.Millisecond
	longest       = 15 * time.Minute
)

var errTooLong = errors.New("the plan for the evening takes too long: say fewer prices that each lot may go for, such as a list of five")

// goesOn reports whether the rest of a search is asked for.
func goesOn(r *http.Request) bool { return r.URL.Path == "/try" && r.PostForm.Has("on") }

// search is for how long a page searches.
func (h *haul) search(r *http.Request) (context.Context, context.CancelFunc) {
	if goesOn(r) {
		return context.WithTimeout(r.Context(), longest)
	}
	return context.WithTimeout(r.Context(), h.desk.patience)
}

// going is what a search with many steps asks.
func going(ctx context.Context) func(int) bool {
	return func(int) bool { return ctx.Err() == nil }
}

// cut takes down that a search was, which the page then has go on.
func (h *haul) cut(r *http.Request) { h.Going = !goesOn(r) }
