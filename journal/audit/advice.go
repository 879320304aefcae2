package audit

// What to do about findings. Each is a sentence of its own.
const (
	doRestore     = "Keep a copy of this folder as it is, then take the log back from the hub, another machine or a backup."
	doDatabase    = "Keep a copy of this folder as it is, then restore the database from a backup, or join the shop again so that the hub gives the entries back."
	doAsk         = "Keep a copy of this folder as it is, and ask who had access to this machine; a disk that fails does not do this."
	doKeys        = "Compare the keys in shop.json with those that the hub shows; restore shop.json from a backup if they differ."
	doSync        = "Connect to the hub and let everything come in, then run the audit again."
	doOriginal    = "Fetch the original again from the hub, the tablet that took it, or a backup."
	doSealed      = "Keep copies of the folders of the hub and of all tablets, and compare their entries of that job, and the customer’s receipt with them."
	doThumb       = "Fetch the log again from another machine; from the original the same thumbnail can be made again."
	doCard        = "Take the card back from the hub or a backup, or ask the customer again; the entries stay as they are."
	doErase       = "Erase it again on this machine, so that what a customer asked for is done."
	doNewer       = "Use the version of fettlebook that wrote it, or a later one, to see it."
	doReport      = "Keep a copy of this folder and report it; an entry like this should never have been written."
	doClock       = "Set the clock of that device right; the order of entries does not rest on it."
	doHubClock    = "Compare with the copies on the tablets and with papers that were handed out; set the clock of the hub right."
	doCountersign = "Run the hub: it countersigns what it holds. If it ran already, compare this folder with a tablet’s by `fettlebook audit --against`."
	doLook        = "Look at it with the person who had the device."
	doForeign     = "It changes nothing. Ask who had access to that device; no fettlebook writes such an entry."
	doReplaced    = "Ask who had the old keys: somebody signs with them. What counts is what the hub signs with its keys of today."
	doNothing     = "Nothing needs to be done."
	doConnect     = "Connect its disk and audit again."
)
