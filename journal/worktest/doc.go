// Package worktest makes the history of an invented shop at any size: years
// of jobs of some fifty entries each, in the mix that a shop writes them.
// Parts of two or three jobs share their runs, tools are checked once a year,
// slips are corrected, tablets are offline now and then and send late, and
// cars come back. Coats differ in all that the parts table asks of them, and come
// out worse where the soak was cooler than the bake; one lot at a time lasts for
// some five hundred parts. Equal seeds give equal bytes, and a longer history begins
// with the shorter one.
//
// It is for tests and benchmarks: [New] streams a history, [Store] signs it
// into a database of logs, and [Folder] keeps such a database between runs.
package worktest
