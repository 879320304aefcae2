package pages

import "strings"

// Amiss are the fields for which a form was not written, in its order. They are named
// beside its button, with a link to the first: they may be out of sight.
type Amiss []Field

// Field is a field of a form, by its id and its label.
type Field struct{ ID, Label string }

// AmissAmong are those fields of a form of which it is said what is wrong.
func AmissAmong(wrong map[string]string, fields ...Field) (all Amiss) {
	for _, f := range fields {
		if wrong[f.ID] != "" {
			all = append(all, f)
		}
	}
	return all
}

// First is the id of the first of them.
func (a Amiss) First() string { return a[0].ID }

// Names are the labels of all.
func (a Amiss) Names() string {
	labels := make([]string, len(a))
	for i, f := range a {
		labels[i] = f.Label
	}
	return strings.Join(labels, ", ")
}
