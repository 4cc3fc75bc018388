package lines

import (
	"context"
	"runtime"
	"sync"

	"lotcost/landed/lotfile"
	"lotcost/landed/source"
)

// Below makes something of each file that [lotfile.Below] tells of a folder, on all cores, and
// hands that on one after the other, in no order. It ends with the context.
func Below[T any](ctx context.Context, folder string, made func(name string, f *source.Fault) T, take func(T)) error {
	type file struct {
		name  string
		fault *source.Fault
	}
	files, found, done := make(chan file), make(chan T), make(chan error, 1)
	var readers sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		readers.Go(func() {
			for f := range files {
				found <- made(f.name, f.fault)
			}
		})
	}
	go func() {
		err := lotfile.Below(folder, func(name string, f *source.Fault) error {
			select {
			case files <- file{name, f}:
				return nil
			case <-ctx.Done():
				return ctx.Err()
			}
		})
		close(files)
		readers.Wait()
		close(found)
		done <- err
	}()
	for of := range found {
		take(of)
	}
	return <-done
}
