// Package demo plays two working days in an invented shop, and in short an
// earlier job that comes back: a hub and two tablets, each a program of its own
// with a data folder of its own, and a network that is cut and mended in
// between. All of it is real but for the clock, which is set (see [Clock]). The
// story is a script, story.jsonl, one line a step with its time; its pictures
// were drawn by the program in testdata/pictures.
package demo
