// Package pages is what all pages have in common: the look (a route card on
// card stock), the frame around every page, stamps, and the headers that keep
// a page to what this program wrote.
//
// A set of pages is made of folders of templates. Each page file defines
// "main"; the set's frame.html defines "masthead" and "bar". Pages work without
// a script; the one under assets only makes them quicker. Nothing is loaded
// from another machine.
//
//	shell, err := pages.New(pages.Options{Set: "bench", Now: time.Now}, templates)
//	shell.Page(w, r, http.StatusOK, "jobs", pages.View{Title: "Jobs on hand", Data: data})
package pages
