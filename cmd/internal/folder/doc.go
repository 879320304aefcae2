// Package folder is a data folder: who this machine is, its keys, its log and
// its originals. One program at a time writes a folder; a lock file says so.
//
//	shop.json         which shop, which device, where the hub is
//	keys/             secrets, readable by their owner only
//	journal.db        the logs (package journal/sqlitelog)
//	photos/           originals by hash (package media/photodir)
//	broker/           the hub's message store
//	door.json         while a program runs here: where its door is
//	lock              held while a program writes here
package folder
