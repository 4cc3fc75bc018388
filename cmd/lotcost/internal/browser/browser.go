// Package browser looks at pages with a real browser, and brings the real command, for tests alone.
//
// The browser is Chromium, without its window where it is packed so, found by its names or by
// LOTCOST_CHROMIUM; where there is none a test is skipped, but where LOTCOST_BROWSER is "must", as
// in .ci/run, it fails. [Page.Violations] needs
// axe.min.js of the npm package axe-core in the folder that LOTCOST_AXE names, by the same rule.
package browser

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"lotcost/testdata/effort"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// patience is how long one thing asked of a page may take.
const patience = time.Minute

// Page is one tab, with nothing stored that another one stored. It is not safe for concurrent use.
type Page struct {
	t   testing.TB
	ctx context.Context

	checked int // pages, by Check

	mu         sync.Mutex
	complaints []string
	requests   []string
}

// Tests are the tests of a package that looks at pages: they share one browser, which ends with
// them, and one tab after the other.
type Tests struct{ *testing.M }

// Run runs them, as [testing.M.Run] does.
func (t Tests) Run() int {
	defer func() { ended(); os.RemoveAll(brought) }()
	return t.M.Run()
}

// brought is the folder of the real command, where a test asked for it.
var brought string

// Command is the path of the real command, for tests that start it. It is linked only where go has
// not kept it since its code changed, which takes most of a second.
var Command = sync.OnceValues(func() (path string, err error) {
	if brought, err = os.MkdirTemp("", "command"); err != nil {
		return "", err
	}
	path = filepath.Join(brought, "lotcost")
	if out, err := exec.Command("go", "run", "-exec", "cp", "lotcost/cmd/lotcost", path).CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w: %s", err, out)
	}
	return path, nil
})

// ended ends the browser, where one was started.
var ended = func() {}

// frugal has all pages in one process where that may be, since each start of one takes as long as a
// page, and draws them without threads of its own.
var frugal = []chromedp.ExecAllocatorOption{
	chromedp.Flag("renderer-process-limit", "1"),
	chromedp.Flag("process-per-site", true),
	chromedp.Flag("disable-site-isolation-trials", true),
	chromedp.Flag("disable-features", "SpareRendererForSitePerProcess,IsolateOrigins,site-per-process,RenderDocument,PaintHolding,MediaRouter,OptimizationHints,AutofillServerCommunication,HttpsUpgrades,Translate"),
	chromedp.Flag("disable-threaded-animation", true),
	chromedp.Flag("disable-checker-imaging", true),
	chromedp.Flag("disable-component-update", true),
	chromedp.Flag("disable-field-trial-config", true),
}

// found finds the browser: that without a window first, which shows the same pages for less than
// two thirds of the work.
func found() (string, error) {
	if asked := os.Getenv("LOTCOST_CHROMIUM"); asked != "" {
		return exec.LookPath(asked)
	}
	if path, err := exec.LookPath("chromium-headless-shell"); err == nil {
		return path, nil
	}
	return exec.LookPath("chromium")
}

// started starts the browser, once.
var started = sync.OnceValues(func() (context.Context, error) {
	path, err := found()
	if err != nil {
		return nil, err
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.Flag("disable-dev-shm-usage", true))
	options = append(options, frugal...)
	if !effort.All() { // what is compiled well is paid back by none of these pages
		options = append(options, chromedp.Flag("js-flags", "--no-opt --no-maglev"))
	}
	if os.Getenv("LOTCOST_PICTURES") == "" { // with this it takes no picture
		options = append(options, chromedp.Flag("disable-threaded-compositing", true))
	}
	ctx, endAll := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, end := chromedp.NewContext(ctx)
	ended = func() { end(); endAll() }
	return ctx, chromedp.Listen(ctx, func(any) {}) // this starts it
})

// InTabOf reports whether a page is open in the tab in which another one was.
func (p *Page) InTabOf(other *Page) bool {
	return chromedp.FromContext(p.ctx) == chromedp.FromContext(other.ctx)
}

// Open opens a page, which closes with the test. Short tests go without one.
func Open(t testing.TB) *Page {
	t.Helper()
	if testing.Short() {
		t.Skip("a browser takes long")
	}
	browser, err := started()
	if errors.Is(err, exec.ErrNotFound) {
		missing(t, "there is no chromium here")
	} else if err != nil {
		t.Fatalf("chromium does not start: %v", err)
	}
	at, err := another(browser)
	if err != nil {
		t.Fatalf("no page opens: %v", err)
	}
	ctx, deaf := context.WithCancel(at.ctx)
	p := &Page{t: t, ctx: ctx}
	t.Cleanup(func() {
		defer deaf()
		if t.Failed() || at.empty() != nil {
			at.end()
			return
		}
		spare <- at
	})
	if err := chromedp.Listen(ctx, p.hear); err != nil {
		t.Fatal(err)
	}
	return p
}

// tab is one of the browser, with a storage of its own.
type tab struct {
	ctx context.Context
	end func()
}

// spare are tabs that were emptied for another test: to open one takes the browser most of a
// second.
var spare = make(chan tab, 64)

func another(browser context.Context) (tab, error) {
	select {
	case at := <-spare:
		return at, nil
	default:
		ctx, end := chromedp.NewContext(browser, chromedp.WithNewBrowserContext())
		_, err := chromedp.Call(ctx, network.Enable, network.EnableParams{}) // this opens it
		return tab{ctx, end}, err
	}
}

// empty leaves the page, and nothing of it behind.
func (at tab) empty() error {
	ctx, cancel := context.WithTimeout(at.ctx, patience)
	defer cancel()
	_, stored := chromedp.Run(ctx, chromedp.Evaluate[chromedp.Void](`location.protocol === "about:" || (localStorage.clear(), sessionStorage.clear()), undefined`))
	_, left := chromedp.Run(ctx, chromedp.Navigate("about:blank"))
	_, media := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{})
	_, size := chromedp.Call(ctx, page.SetFontSizes, textOf(16))
	err := errors.Join(stored, left, media, size)
	for _, command := range []cdp.Command[cdp.Empty, cdp.Empty]{network.ClearBrowserCookies, network.ClearBrowserCache, page.ResetNavigationHistory, emulation.ClearDeviceMetricsOverride} {
		_, failed := chromedp.Call(ctx, command, cdp.Empty{})
		err = errors.Join(err, failed)
	}
	return err
}

// missing skips a test for want of a tool, where that is allowed.
func missing(t testing.TB, what string) {
	t.Helper()
	if os.Getenv("LOTCOST_BROWSER") == "must" {
		t.Fatal(what)
	}
	t.Skip(what)
}

func (p *Page) hear(event any) {
	p.mu.Lock()
	defer p.mu.Unlock()
	switch e := event.(type) {
	case *runtime.EventConsoleAPICalled:
		switch e.Type {
		case runtime.ConsoleAPICalledTypeError, runtime.ConsoleAPICalledTypeWarning, runtime.ConsoleAPICalledTypeAssert:
			said := []string{"console:"}
			for _, a := range e.Args {
				said = append(said, string(a.Value)+a.Description)
			}
			p.complaints = append(p.complaints, strings.Join(said, " "))
		}
	case *runtime.EventExceptionThrown:
		what := e.ExceptionDetails.Text
		if e.ExceptionDetails.Exception != nil {
			what += " " + e.ExceptionDetails.Exception.Description
		}
		p.complaints = append(p.complaints, "script: "+what)
	case *log.EventEntryAdded:
		if e.Entry.Level == log.EntryLevelError || e.Entry.Level == log.EntryLevelWarning {
			p.complaints = append(p.complaints, fmt.Sprintf("%s: %s %s", e.Entry.Source, e.Entry.Text, e.Entry.URL))
		}
	case *page.EventJavascriptDialogOpening: // of a page that asks whether it may be left: it may
		go chromedp.Call(p.ctx, page.HandleJavaScriptDialog, page.HandleJavaScriptDialogParams{Accept: true})
	case *network.EventRequestWillBeSent:
		p.requests = append(p.requests, e.Request.URL)
	}
}

// Do does what chromedp has to offer on a page; an error ends the test.
func Do[T any](p *Page, action chromedp.Action[T]) T {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	out, err := chromedp.Run(ctx, action)
	if err != nil {
		p.t.Fatal(err)
	}
	return out
}

// Paper has the page look as it is printed on A4, between margins of 15 mm, until [Page.Look].
func (p *Page) Paper() {
	p.t.Helper()
	call(p, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: 680, Height: 1000, DeviceScaleFactor: 1})
	call(p, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
}

// call is [Do] for one command of the browser's protocol.
func call[P, R any](p *Page, command cdp.Command[P, R], params P) R {
	p.t.Helper()
	return Do(p, func(ctx context.Context, t *chromedp.Target) (R, error) { return cdp.Call(ctx, t, command, params) })
}

// Go loads an address, what was heard of the last page being forgotten.
func (p *Page) Go(address string) {
	p.t.Helper()
	p.mu.Lock()
	p.complaints, p.requests = nil, nil
	p.mu.Unlock()
	Do(p, chromedp.Navigate(address))
}

// GoFile loads a file.
func (p *Page) GoFile(path string) {
	p.t.Helper()
	whole, err := filepath.Abs(path)
	if err != nil {
		p.t.Fatal(err)
	}
	p.Go("file://" + filepath.ToSlash(whole))
}

// Look sets how the page is looked at: the width and height of the window in px, and whether the
// reader prefers dark.
func (p *Page) Look(width, height int64, dark bool) {
	p.t.Helper()
	scheme := map[bool]string{false: "light", true: "dark"}[dark]
	call(p, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: width, Height: height, DeviceScaleFactor: 1, Mobile: width < 600})
	call(p, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
}

// TextOf sets how many px high the browser's own text is, which is 16 where nobody changed it.
func (p *Page) TextOf(px int64) {
	p.t.Helper()
	call(p, page.SetFontSizes, textOf(px))
}

func textOf(px int64) page.SetFontSizesParams {
	return page.SetFontSizesParams{FontSizes: &page.FontSizes{Standard: px, Fixed: px * 13 / 16}}
}

// Forced has the page in the few colours that a reader chose for all, until [Page.Look].
func (p *Page) Forced() {
	p.t.Helper()
	call(p, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "forced-colors", Value: "active"}}})
}

// Eval evaluates a script, waits for its promise if it is one, and reads the result into a pointer,
// if it is not nil.
func (p *Page) Eval(script string, into any) {
	p.t.Helper()
	if into == nil {
		Do(p, chromedp.Evaluate[chromedp.Void](script, chromedp.EvalAwaitPromise))
		return
	}
	if err := json.Unmarshal(Do(p, chromedp.Evaluate[[]byte](script, chromedp.EvalAwaitPromise)), into); err != nil {
		p.t.Fatalf("%s: %v", script, err)
	}
}

// Holds waits until the value of a script, as text, is what is wanted. What throws, as where an
// element is not there, is not so yet, and neither is a page that is on its way.
func (p *Page) Holds(script, want string) {
	p.t.Helper()
	p.until(script, want, func(got string) bool { return got == want })
}

// Text is the value of a script, as text, as soon as it does not throw.
func (p *Page) Text(script string) string {
	p.t.Helper()
	return p.until(script, "any text", func(string) bool { return true })
}

func (p *Page) until(script, want string, fits func(string) bool) (got string) {
	p.t.Helper()
	pause := 10 * time.Millisecond // longer and longer, since each question costs the browser something
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(pause) {
		pause = min(pause*3/2, 80*time.Millisecond)
		if now, err := p.text("String(" + script + ")"); err != nil {
			got = err.Error()
		} else if got = now; fits(got) {
			return got
		}
	}
	p.t.Fatalf("%s is %q, want %s", script, got, want)
	return ""
}

// On waits until the page is whole, its scripts run, and there is an element that a selector finds,
// and does something with it, as "click()".
func (p *Page) On(selector, do string) {
	p.t.Helper()
	quoted, _ := json.Marshal(selector)
	p.Holds(fmt.Sprintf(`document.readyState === "complete" && (document.querySelector(%s).%s, 1)`, quoted, do), "1")
}

func (p *Page) text(script string) (text string, err error) {
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	return chromedp.Run(ctx, chromedp.Evaluate[string](script))
}

// Complaints are the warnings and errors of the console, of scripts and of loading since [Page.Go].
func (p *Page) Complaints() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return slices.Clone(p.complaints)
}

// Requests are the addresses asked for since [Page.Go], that of the page first.
func (p *Page) Requests() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return slices.Clone(p.requests)
}

// wide finds what reaches beyond the window and is not in a box that scrolls by itself. What is
// folded is opened for it, or it would be laid out anew for each element in it.
const wide = `(() => {
	const open = new CSSStyleSheet();
	open.replaceSync("::details-content { content-visibility: visible !important }");
	document.adoptedStyleSheets.push(open);
	const room = document.documentElement.clientWidth, out = [];
	if (document.documentElement.scrollWidth > room) out.push("the page: " + document.documentElement.scrollWidth + " of " + room);
	const held = e => { for (let p = e.parentElement; p && p !== document.body; p = p.parentElement) {
		const o = getComputedStyle(p).overflowX; if (o === "auto" || o === "scroll" || o === "hidden" || o === "clip") return p.getBoundingClientRect().right <= room + 0.5; } };
	for (const e of document.body.querySelectorAll("*")) {
		const b = e.getBoundingClientRect();
		if (b.width && (b.right > room + 0.5 || b.left < -0.5) && !held(e) && !e.closest("[data-off]")) out.push(e.tagName + " " + (e.id || e.className.baseVal || e.className) + ": " + b.left + " to " + b.right + " of " + room + ": " + e.textContent.slice(0, 60));
	}
	document.adoptedStyleSheets.pop();
	return out.slice(0, 10);
})()`

// TooWide tells what is wider than the window, of what does not scroll in a box of its own.
func (p *Page) TooWide() []string {
	p.t.Helper()
	var out []string
	p.Eval(wide, &out)
	return out
}

// violations asks axe-core for what breaks WCAG 2.2 A and AA, and what it calls best practice. What
// is preloaded is for sounds and for rules that are not asked.
const violations = `axe.run(document, {resultTypes: ["violations"], preload: false, rules: {"color-contrast": {enabled: %t}}}).then(r => r.violations.flatMap(v => v.nodes.map(n => v.id + ": " + v.help + ": " + n.html.slice(0, 160) + ": " + (n.any.concat(n.all)[0] || {}).message)))`

// Violations tells what the page lacks for readers who see, hear or move otherwise, by axe-core:
// contrast, which takes as long as all else together and is that of the one style sheet, only
// where it is asked for or all cases are tried.
func (p *Page) Violations(contrast bool) []string {
	p.t.Helper()
	script, err := os.ReadFile(filepath.Join(os.Getenv("LOTCOST_AXE"), "axe.min.js"))
	if err != nil {
		if os.Getenv("LOTCOST_BROWSER") == "must" {
			p.t.Fatalf("axe-core is not there: %v", err)
		}
		p.t.Log("not checked with axe-core: LOTCOST_AXE names no folder with axe.min.js")
		return nil
	}
	p.Eval("if (!window.axe) {"+string(script)+"}", nil)
	var out []string
	p.Eval(fmt.Sprintf(violations, contrast || effort.All()), &out)
	return out
}

// PDF prints the page on A4, or else Letter, as its style sheet has it.
func (p *Page) PDF(letter bool) []byte {
	p.t.Helper()
	size := chromedp.PaperA4
	if letter {
		size = chromedp.PaperLetter
	}
	return Do(p, chromedp.PrintToPDF(chromedp.PDFPaper(size), chromedp.PDFPrintBackground()))
}

// Check tells of a page that complains, asks for anything but itself, is wider than a phone, a
// tablet or a desk, or cannot be read by everybody, in the light of a phone and the dark of a desk:
// in the two by turns, and with contrast on the first page, where not all cases are tried.
func (p *Page) Check(wrong func(format string, with ...any), name string) {
	p.t.Helper()
	all, second := effort.All(), p.checked%2 == 1
	p.checked++
	for _, width := range []int64{360, 768, 1280} {
		dark := width == 1280
		p.Look(width, 900, dark)
		for _, what := range p.TooWide() {
			wrong("%s: at %d px: %s", name, width, what)
		}
		if width == 768 || !all && dark != second {
			continue
		}
		for _, what := range p.Violations(p.checked == 1) {
			wrong("%s: at %d px, dark %t: %s", name, width, dark, what)
		}
	}
	for _, what := range p.Complaints() {
		wrong("%s: %s", name, what)
	}
	if asked := p.Requests(); len(asked) != 1 {
		wrong("%s: asked for %s", name, strings.Join(asked, ", "))
	}
}

// Picture writes what is seen of the whole page into a file, for looking at by hand, where
// LOTCOST_PICTURES is set.
func (p *Page) Picture(path string) {
	p.t.Helper()
	if err := os.WriteFile(path, Do(p, chromedp.FullScreenshot(100)), 0o666); err != nil {
		p.t.Fatal(err)
	}
}

// Insert puts a text where the focus is, at once, as what is chosen above a phone's keys.
func (p *Page) Insert(text string) {
	p.t.Helper()
	call(p, input.InsertText, input.InsertTextParams{Text: text})
}

// Keys presses keys where the focus is, in the writing of chromedp/kb.
func (p *Page) Keys(keys string) {
	p.t.Helper()
	Do(p, chromedp.KeyEvent(keys))
}

// Net has the page with the network, or without it, of which it hears either way.
func (p *Page) Net(on bool) {
	p.t.Helper()
	rate := float64(-1)
	call(p, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{MatchedNetworkConditions: []*network.Conditions{{Offline: !on, DownloadThroughput: rate, UploadThroughput: rate}}})
	call(p, network.OverrideNetworkState, network.OverrideNetworkStateParams{Offline: !on, DownloadThroughput: rate, UploadThroughput: rate})
}
