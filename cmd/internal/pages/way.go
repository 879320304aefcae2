package pages

import (
	"net/url"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// Way is a link to where what a hold point lacks can be given.
type Way struct{ Say, Path string }

// WayOf is the link to a way.
func WayOf(w route.Way) Way {
	link := Way{Say: waySays(w), Path: "/write/" + string(w.Kind) + "/" + string(w.About)}
	if w.Stage == "" {
		return link
	}
	link.Path = StagePath(w.Stage, w.About)
	if w.Kind != "" {
		link.Path += "?kind=" + url.QueryEscape(string(w.Kind))
	}
	return link
}

// waySays says what is done there. A thing of the register is named, and what belongs to
// the hub is said to.
func waySays(w route.Way) string {
	switch {
	case w.Kind == "":
		return "To the stage"
	case w.Kind == journal.PhotoTaken:
		return "Take the photograph"
	}
	said := "write down " + w.Kind.Told()
	if w.About.Job() == "" && w.About.Last() != journal.Unnamed {
		said += ": " + w.About.Last()
	}
	if w.Kind.Writer() == journal.HubOnly {
		said = "at the desk, " + said
	}
	return words.Capital(strings.TrimSpace(said))
}
