package desk

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"lotcost/cmd/lotcost/internal/browser"
	"lotcost/testdata/effort"
)

// process is the real command, serving a folder.
type process struct {
	*exec.Cmd
	client *http.Client
	base   string
}

func start(t testing.TB, folder string) *process {
	t.Helper()
	path, err := browser.Command()
	if err != nil {
		t.Fatal(err)
	}
	p := &process{Cmd: exec.Command(path, "desk", folder, "--port", "0", "--no-open")}
	out, err := p.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := p.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { p.Process.Kill() })
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	words := strings.Fields(line)
	address, err := url.Parse(words[len(words)-1])
	if err != nil {
		t.Fatal(err)
	}
	jar, _ := cookiejar.New(nil)
	p.client, p.base = &http.Client{Jar: jar}, "http://"+address.Host
	answer, err := p.client.Get(address.String())
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.StatusCode != 200 {
		t.Fatalf("not let in: %d", answer.StatusCode)
	}
	return p
}

// TestKilled kills the desk in the middle of saving, again and again: the file is always one of the
// texts that were saved, whole.
func TestKilled(t *testing.T) {
	folder := t.TempDir()
	file := filepath.Join(folder, "crate.yaml")
	text := func(n int) string {
		return strings.Replace(crate, "4600", fmt.Sprint(4600+n), 1) + strings.Repeat("# a note\n", 2000)
	}
	put(t, file, text(0))
	n, last := 0, 0 // what is being saved, and what was last
	for range effort.Cases(200, 15, 3) {
		p := start(t, folder)
		var done sync.WaitGroup
		done.Go(func() {
			for {
				now, err := os.ReadFile(file)
				if err != nil {
					t.Error(err)
					return
				}
				n++
				form := url.Values{"file": {"crate.yaml"}, "mark": {mark(now)}, "path": {"lots[crate].price"}, "value": {fmt.Sprintf("%d JPY", 4600+n)}}
				answer, err := p.client.PostForm(p.base+"/save", form)
				if err != nil {
					return // it is gone
				}
				if answer.Body.Close(); answer.StatusCode != 200 {
					t.Errorf("a save: %d", answer.StatusCode)
					return
				}
				last = n
			}
		})
		time.Sleep(time.Duration(rand.IntN(40)) * time.Millisecond)
		p.Process.Kill()
		p.Wait()
		done.Wait()
		now, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		switch string(now) {
		case text(last):
		case text(n):
			last = n
		default:
			t.Fatalf("after %d saves the file is\n%.600s", n, now)
		}
	}
	t.Logf("%d saves", n)
}

// TestEnds sends SIGTERM while a page listens: the desk ends in order, at once.
func TestEnds(t *testing.T) {
	folder := t.TempDir()
	put(t, filepath.Join(folder, "crate.yaml"), crate)
	p := start(t, folder)
	answer, err := p.client.Get(p.base + "/events/crate.yaml")
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	from := time.Now()
	p.Process.Signal(syscall.SIGTERM)
	if err := p.Wait(); err != nil {
		t.Error(err)
	}
	t.Logf("it took %v", time.Since(from)) // by endTime less than 5 s
}

// TestFullDisk saves where there is no room: the file stays as it was, and the page says so.
func TestFullDisk(t *testing.T) {
	folder := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", folder).CombinedOutput(); err != nil {
		t.Skipf("no small disk can be had: %s", out)
	}
	t.Cleanup(func() { exec.Command("umount", "-l", folder).Run() })
	text := crate + strings.Repeat("# a note\n", 3000)
	put(t, filepath.Join(folder, "crate.yaml"), text)
	os.WriteFile(filepath.Join(folder, "rest"), make([]byte, 64<<10), 0o666) // as much as there is room for
	s := serve(t, folder)
	s.get(strings.TrimPrefix(s.address, s.base))
	got := s.post("/save", "file", "crate.yaml", "mark", mark([]byte(text)), "path", "lots[crate].price", "value", "5000 JPY")
	if got.status != 507 || !strings.Contains(got.body, "it was not saved, and the file is as it was") {
		t.Errorf("%d: %s", got.status, got.body)
	}
	if s.text("crate.yaml") != text {
		t.Error("the file changed")
	}
	if entries, _ := os.ReadDir(folder); len(entries) != 2 {
		t.Errorf("something was left: %v", entries)
	}
}

// TestTogether lets several browsers change one file at once: each change is in it in the end.
func TestTogether(t *testing.T) {
	s := entered(t, "crate.yaml", crate)
	var all sync.WaitGroup
	const browsers, each = 4, 5
	for b := range browsers {
		all.Go(func() {
			for n := range each {
				for {
					now := s.text("crate.yaml")
					got := s.post("/save", "file", "crate.yaml", "mark", mark([]byte(now)), "path", "lots[crate].items[+].value", "value", fmt.Sprintf("%d.%02d CAD", b+1, n))
					if got.status == 200 {
						break
					}
					if got.status != 409 {
						t.Errorf("%d: %s", got.status, got.body)
						return
					}
				}
			}
		})
	}
	all.Wait()
	text := s.text("crate.yaml")
	for b := range browsers {
		for n := range each {
			if want := fmt.Sprintf("value: %d.%02d CAD", b+1, n); !strings.Contains(text, want) {
				t.Errorf("%s is lost", want)
			}
		}
	}
}

// TestThousand opens a book of 1,000 hauls, or of fewer under -short.
func TestThousand(t *testing.T) {
	folder := t.TempDir()
	hauls := effort.Cases(1000, 1000, 200)
	for i := range hauls {
		put(t, filepath.Join(folder, fmt.Sprintf("%d/haul-%d.yaml", 2020+i%6, i)), strings.ReplaceAll(strings.Replace(crate, "2026-10", fmt.Sprintf("%d-10", 2020+i%6), 1), "A crate", fmt.Sprintf("Crate %d", i)))
	}
	s := serve(t, folder)
	from := time.Now()
	got := s.get(strings.TrimPrefix(s.address, s.base))
	first := time.Since(from)
	if got.status != 200 || strings.Count(got.body, `href="/haul/`) != hauls {
		t.Fatalf("%d with %d hauls", got.status, strings.Count(got.body, `href="/haul/`))
	}
	from = time.Now()
	s.get("/")
	t.Logf("first %v, again %v", first, time.Since(from))
}

// TestManyRequests asks for pages at random, and leaves neither memory nor goroutines behind.
func TestManyRequests(t *testing.T) {
	if testing.Short() {
		t.Skip("what piles up shows after many requests")
	}
	folder := t.TempDir()
	if err := os.CopyFS(folder, os.DirFS("../../../../examples")); err != nil {
		t.Fatal(err)
	}
	s := serve(t, folder)
	s.get(strings.TrimPrefix(s.address, s.base))
	s.client.CloseIdleConnections()
	time.Sleep(100 * time.Millisecond)
	before := runtime.NumGoroutine()
	var names []string
	all, err := s.book.read(false)
	if err != nil {
		t.Fatal(err)
	}
	for name, haul := range all {
		if haul.line.Name != "" {
			names = append(names, name)
		}
	}
	random := rand.New(rand.NewPCG(1, 2))
	most := uint64(0)
	for n := range effort.Cases(10_000, 100, 30) {
		name := names[random.IntN(len(names))]
		got := reply{}
		switch random.IntN(8) {
		case 0:
			got = s.get("/")
		case 1:
			got = s.get("/" + bookViews[random.IntN(len(bookViews))].id)
		case 2:
			got = s.post("/try", "file", name, "view", views[random.IntN(len(views))].id, "path", "title", "value", fmt.Sprintf("Title %d", n))
		case 3:
			text := s.text(name)
			got = s.post("/save", "file", name, "mark", mark([]byte(text)), "view", "costs", "path", "title", "value", fmt.Sprintf("Title %d", n))
		case 4:
			ctx, stop := context.WithTimeout(context.Background(), 20*time.Millisecond)
			if answer, err := s.client.Do(s.request("GET", "/events/"+name, nil).WithContext(ctx)); err == nil {
				io.Copy(io.Discard, answer.Body)
				answer.Body.Close()
			}
			stop()
			continue
		default:
			got = s.get("/haul/" + name + "?view=" + views[random.IntN(len(views))].id)
		}
		if got.status != 200 && got.status != 422 {
			t.Fatalf("%s: %d: %s", name, got.status, got.body)
		}
		if n%100 == 0 {
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			most = max(most, m.Sys-m.HeapReleased)
		}
	}
	s.client.CloseIdleConnections()
	for n := 0; runtime.NumGoroutine() > before && n < 1200; n++ {
		time.Sleep(50 * time.Millisecond)
	}
	if after := runtime.NumGoroutine(); after > before {
		stacks := make([]byte, 1<<20)
		t.Errorf("%d goroutines are left over:\n%s", after-before, stacks[:runtime.Stack(stacks, true)])
	}
	t.Logf("at most %d MB", most>>20)
	if most > 300<<20 {
		t.Errorf("%d MB", most>>20)
	}
}
