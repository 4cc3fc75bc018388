// Package stack, which is imported for what it does at the start, has the first stack of the
// program grow once.
//
// That of the first goroutine begins with 2 KiB, and what packages prepare before main takes some
// 10: it is then copied three times, frame by frame, and for each size in between the runtime
// fills a row of stacks of that size, more pages of memory than the stack itself. This package
// imports nothing, so that it is initialized before nearly all others.
package stack

// depth is more than is needed until a command begins. A stack of twice as much, 32 KiB, is the
// smallest that the runtime does not take from such a row.
const depth = 20 << 10

func init() { take("") }

// take asks for room on the stack, none of which is touched where text is empty.
//
//go:noinline
func take(text string) int {
	if text == "" {
		return 0
	}
	var room [depth]byte
	return copy(room[:], text)
}
