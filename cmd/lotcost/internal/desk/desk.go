// Package desk serves a folder of lot files as pages for a browser: what the commands
// say of them, and fields that change them where they stand.
//
// There is no second store. A page is made from the files at the time it is asked for,
// and reading writes nothing anywhere. What is typed is put into the text of the file by
// package edit, read and calculated as a command would, and shown; it is written when a
// field is left, whole or not at all, and only if the file is still as the page saw it.
//
// A view of a haul is an entry of [views]: what it is called, when it fits, and a function
// that returns its parts. Fields are named by the path of their value in the lot file
// ([haul.field]); parts that show results are live, and are put in place as one types.
package desk

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"sync"
	"time"

	"lotcost/landed/lotfile"
	"lotcost/landed/source"
)

// Options say what is served.
type Options struct {
	Folder string
	Files  lotfile.Options // how files are read; Opened and Warn are not called
	Today  func() time.Time
}

// Desk is a folder that is served. It is safe for concurrent use.
type Desk struct {
	Options
	folder *folder
	book   *shelf
	guard  *guard

	patience time.Duration // how long a page waits for a search
}

// New opens a folder. The error is a [source.Faults] that [lotfile.Unreadable] knows where
// there is none.
func New(o Options) (*Desk, error) {
	info, err := os.Stat(o.Folder)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil, source.Faults{{At: source.Origin{File: o.Folder}, What: "there is no such folder", Remedy: "check the name, or make it first", Err: err}}
	case err != nil:
		return nil, err
	case !info.IsDir():
		return nil, source.Faults{{At: source.Origin{File: o.Folder}, What: "this is a file", Remedy: "name the folder that it is in", Err: os.ErrNotExist}}
	}
	if o.Folder, err = filepath.Abs(o.Folder); err != nil {
		return nil, err
	}
	root, err := os.OpenRoot(o.Folder)
	if err != nil {
		return nil, err
	}
	o.Files.Opened, o.Files.Warn, o.Files.Stdin, o.Files.Reference = nil, nil, nil, nil
	d := &Desk{Options: o, folder: &folder{path: o.Folder, root: root, before: map[string][]version{}}, guard: &guard{token: rand.Text(), session: rand.Text(), hosts: map[string]bool{}}, patience: usualPatience}
	d.book = &shelf{desk: d, known: map[string]*shelved{}}
	return d, nil
}

// Address is where a browser opens the desk that a listener serves. Who has it may use it.
func (d *Desk) Address(l net.Listener) string {
	return "http://" + l.Addr().String() + "/?" + tokenKey + "=" + d.guard.token
}

// How long a request may take to be read and answered, and the server to end.
const (
	headTime = 5 * time.Second
	bodyTime = 20 * time.Second
	makeTime = 2 * time.Minute
	endTime  = 3 * time.Second
)

// Serve answers until the context ends, on one listener or several.
func (d *Desk) Serve(ctx context.Context, listeners ...net.Listener) error {
	running, stop := context.WithCancel(context.Background())
	defer stop()
	s := &http.Server{
		Handler: d.Handler(listeners...), BaseContext: func(net.Listener) context.Context { return running },
		ReadHeaderTimeout: headTime, ReadTimeout: bodyTime, WriteTimeout: makeTime, IdleTimeout: time.Minute, MaxHeaderBytes: 32 << 10,
		ErrorLog: log.New(io.Discard, "", 0), // what a stranger sends is no news
	}
	var opened sync.Map // ways on which nothing was asked yet, which browsers open ahead: none is waited for
	s.ConnState = func(c net.Conn, now http.ConnState) {
		if now == http.StateNew {
			opened.Store(c, nil)
		} else {
			opened.Delete(c)
		}
	}
	ended := make(chan error, len(listeners))
	for _, l := range listeners {
		go func() { ended <- s.Serve(l) }()
	}
	select {
	case <-ctx.Done():
	case err := <-ended:
		return err
	}
	stop() // what still listens for changes
	opened.Range(func(c, _ any) bool {
		c.(net.Conn).Close()
		return true
	})
	end, cancel := context.WithTimeout(context.Background(), endTime)
	defer cancel()
	if err := s.Shutdown(end); err != nil {
		return s.Close()
	}
	return nil
}

// Handler answers requests that come to some listeners.
func (d *Desk) Handler(listeners ...net.Listener) http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", answered(d.showBook))
	mux.HandleFunc("GET /haul/{name...}", answered(d.showHaul))
	mux.HandleFunc("POST /try", d.ofHaul(d.try))
	mux.HandleFunc("POST /save", d.ofHaul(d.save))
	mux.HandleFunc("POST /undo", posted(d.undo))
	mux.HandleFunc("POST /text", d.ofHaul(d.saveText))
	mux.HandleFunc("POST /list", d.ofHaul(d.putList))
	mux.HandleFunc("POST /rows", d.ofHaul(d.putRows))
	mux.HandleFunc("POST /bring", d.ofHaul(d.bring))
	mux.HandleFunc("POST /workbook", d.ofHaul(d.takeWorkbook))
	mux.HandleFunc("POST /new", posted(d.makeNew))
	mux.HandleFunc("POST /copy", d.ofHaul(d.makeCopy))
	mux.HandleFunc("POST /archive", d.ofHaul(d.archive))
	mux.HandleFunc("GET /write/{name...}", answered(d.write))
	mux.HandleFunc("GET /events/{name...}", answered(d.events))
	mux.HandleFunc("GET /assets/{name}", answered(d.asset))
	mux.HandleFunc("GET /phone", answered(d.phone))
	mux.HandleFunc("POST /phone", answered(d.phone))
	for _, v := range bookViews {
		mux.HandleFunc("GET /"+v.id, answered(func(w http.ResponseWriter, r *http.Request) error { return d.showBookView(w, r, v) }))
	}
	for _, l := range listeners {
		d.guard.serves(l.Addr().String())
	}
	return d.guard.over(packing(mux))
}

// answer answers a request, or says what keeps it from that: a [refusal], [mistakes], [unwritten],
// or that a lot file cannot be read.
type answer func(http.ResponseWriter, *http.Request) error

// refusal is a page with nothing on it but a reason.
type refusal struct {
	status int
	why    string
}

// Error implements error.
func (r *refusal) Error() string { return r.why }

// mistakes are what is wrong with what was typed; the page then keeps the last good answer.
type mistakes struct {
	haul *haul
	source.Faults
}

// unwritten is why a file could not be written: the old one is as it was.
type unwritten struct{ error }

// answered tells what an answer says that kept it from answering.
func answered(do answer) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		err := do(w, r)
		if err == nil {
			return
		}
		switch why := err.(type) {
		case *refusal:
			refuse(w, why.status, why.why)
		case *mistakes:
			wrong(w, http.StatusUnprocessableEntity, why.haul.faultsShown(why.Faults))
		case *unwritten:
			wrong(w, http.StatusInsufficientStorage, []fault{{What: fmt.Sprintf("it was not saved, and the file is as it was: %v", why.error), Remedy: "make room, or allow writing, then leave the field again"}})
		default:
			if errors.Is(err, fs.ErrNotExist) {
				refuse(w, http.StatusNotFound, "There is no such lot file in this folder.")
				return
			}
			refuse(w, http.StatusForbidden, "The file cannot be read.")
		}
	}
}

// wrong answers with what is wrong, for the page to put where it belongs.
func wrong(w http.ResponseWriter, status int, faults []fault) {
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.WriteHeader(status)
	json.NewEncoder(w).Encode(faults)
}

// posted reads the form of a request before it is answered, with a file where it has one.
func posted(do answer) http.HandlerFunc {
	return answered(func(w http.ResponseWriter, r *http.Request) error {
		err := r.ParseForm()
		if err == nil {
			err = r.ParseMultipartForm(mostText)
		}
		if err != nil && !errors.Is(err, http.ErrNotMultipart) {
			return &refusal{http.StatusBadRequest, "This is no form of the desk."}
		}
		return do(w, r)
	})
}

// ofHaul is [posted] for a form that is about a haul.
func (d *Desk) ofHaul(do func(http.ResponseWriter, *http.Request, *haul) error) http.HandlerFunc {
	return posted(func(w http.ResponseWriter, r *http.Request) error {
		h, err := d.read(r.PostForm.Get("file"))
		if err != nil {
			return err
		}
		return do(w, r, h)
	})
}
