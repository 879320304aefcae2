// Package shoptest is a whole shop in one test: a hub with its broker, its
// database and its joining desk, and any number of tablets, all on folders of
// their own and built from the constructors that the program uses. The
// connections are real ones, over TLS on the loopback.
//
// What a shop must survive is a method: the hub stops, its disk dies, a tablet
// is set back to an older copy, the line drops, doubles, delays and reorders.
// Only tests import it.
//
//	shop := shoptest.Open(t)
//	bench := shop.Tablet("bench 1")
//	bench.Append(20)
//	shop.DropHubDatabase()
//	shop.Settle() // every entry is where it belongs, or the test fails
package shoptest
