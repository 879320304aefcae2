package browsertest

import (
	"net/url"
	"slices"
	"strings"
	"sync"

	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
)

// watch hears what a page asks for and what it complains of.
type watch struct {
	mu         sync.Mutex
	asked      []string
	paths      map[network.RequestID]string
	weight     float64
	fonts      float64
	loads      int // of whole pages
	complaints []string
}

func newWatch() *watch { return &watch{paths: make(map[network.RequestID]string)} }

func (w *watch) hear(event any) {
	w.mu.Lock()
	defer w.mu.Unlock()
	switch e := event.(type) {
	case *network.EventRequestWillBeSent:
		w.asked = append(w.asked, e.Request.URL)
		w.paths[e.RequestID] = e.Request.URL
	case *network.EventResponseReceived:
		if e.Type == network.ResourceTypeDocument {
			w.loads++
		}
	case *network.EventLoadingFinished:
		switch u, err := url.Parse(w.paths[e.RequestID]); {
		case err != nil || picture(u.Path):
		case strings.HasSuffix(u.Path, ".woff2"):
			w.fonts += e.EncodedDataLength
		default:
			w.weight += e.EncodedDataLength
		}
	case *log.EventEntryAdded:
		if e.Entry.Level == log.EntryLevelError {
			w.complaints = append(w.complaints, e.Entry.Text+" "+e.Entry.URL)
		}
	case *runtime.EventExceptionThrown:
		text := e.ExceptionDetails.Text
		if e.ExceptionDetails.Exception != nil {
			text += " " + e.ExceptionDetails.Exception.Description
		}
		w.complaints = append(w.complaints, text)
	case *runtime.EventConsoleAPICalled:
		if e.Type == runtime.ConsoleAPICalledTypeError {
			text := "console:"
			for _, arg := range e.Args {
				text += " " + string(arg.Value) + arg.Description
			}
			w.complaints = append(w.complaints, text)
		}
	}
}

func picture(path string) bool {
	return strings.HasPrefix(path, "/photo/") || strings.HasPrefix(path, "/thumb/") || strings.HasPrefix(path, "/snap/")
}

// pages is how many whole pages came, from the beginning.
func (w *watch) pages() int {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.loads
}

func (w *watch) clear() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.weight, w.fonts = 0, 0
}

// Strangers lists what the page asked other machines for, from its beginning.
func (w *watch) Strangers() (list []string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, asked := range w.asked {
		u, err := url.Parse(asked)
		if err != nil || !slices.Contains([]string{"127.0.0.1", "localhost", ""}, u.Hostname()) || u.Hostname() == "" && !slices.Contains([]string{"blob", "data", "about"}, u.Scheme) {
			list = append(list, asked)
		}
	}
	return list
}

// Weight is how many bytes came over the line since the page was opened,
// without photographs and fonts.
func (w *watch) Weight() int {
	w.mu.Lock()
	defer w.mu.Unlock()
	return int(w.weight)
}

// Fonts is how many bytes of fonts came since the page was opened.
func (w *watch) Fonts() int {
	w.mu.Lock()
	defer w.mu.Unlock()
	return int(w.fonts)
}

// Complaints returns errors of scripts, of the content security policy, and
// what could not be loaded, since it was last asked.
func (w *watch) Complaints() []string {
	w.mu.Lock()
	defer w.mu.Unlock()
	list := w.complaints
	w.complaints = nil
	return list
}
