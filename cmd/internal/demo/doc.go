// Package demo plays one day in an invented shop: a hub and two tablets, each
// a program of its own with a data folder of its own, and a network that is
// cut and mended in between. The day is a script, story.jsonl, one line a
// step; its pictures were drawn by the program in testdata/pictures.
package demo
