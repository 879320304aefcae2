package evidencetest

import (
	"bytes"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/evidence"
)

func logTamperings() []Tampering {
	state := func(x *Tampered) (*evidence.Log, int) {
		l := &x.D.About.Logs[x.Dice.IntN(len(x.D.About.Logs))]
		return l, x.Dice.IntN(len(l.States))
	}
	return []Tampering{
		{"a proof changed", func(x *Tampered) {
			at := x.item().At
			for len(bytes.Split(x.D.Files[evidence.ProofPath(at)], []byte("\n"))) < 8 {
				at = x.item().At
			}
			raw := slices.Clone(x.D.Files[evidence.ProofPath(at)])
			i := bytes.IndexByte(raw[30:], '\n') + 32 + x.Dice.IntN(30)
			raw[i] = map[bool]byte{true: 'B', false: 'A'}[raw[i] == 'A']
			x.D.Files[evidence.ProofPath(at)] = raw
			x.want(at.String(), evidence.NotProven)
		}},
		{"a proof left out", func(x *Tampered) {
			at := x.item().At
			delete(x.D.Files, evidence.ProofPath(at))
			x.want(at.String(), evidence.NotProven)
		}},
		{"a checkpoint changed", func(x *Tampered) {
			l, i := state(x)
			path := evidence.CheckpointPath(l.Device, l.States[i].Size)
			raw := slices.Clone(x.D.Files[path])
			at := bytes.IndexByte(raw, '\n') + bytes.IndexByte(raw[bytes.IndexByte(raw, '\n')+1:], '\n') + 2 + x.Dice.IntN(30)
			raw[at] = map[bool]byte{true: 'B', false: 'A'}[raw[at] == 'A']
			x.D.Files[path] = raw
			x.want("data/"+path, evidence.StateUnsigned)
		}},
		{"a checkpoint left out", func(x *Tampered) {
			l, i := state(x)
			path := evidence.CheckpointPath(l.Device, l.States[i].Size)
			delete(x.D.Files, path)
			x.want("data/"+path, evidence.StateUnsigned)
		}},
		{"the hub’s countersignature changed", func(x *Tampered) {
			l, i := state(x)
			path := evidence.CheckpointPath(l.Device, l.States[i].Size)
			raw := slices.Clone(x.D.Files[path])
			at := len(raw) - 20 - x.Dice.IntN(40)
			raw[at] = map[bool]byte{true: 'B', false: 'A'}[raw[at] == 'A']
			x.D.Files[path] = raw
			x.want("data/"+path, evidence.CosignatureWrong)
		}},
		{"the proof that a log grew changed", func(x *Tampered) {
			l, i := state(x)
			for i == 0 || len(l.States[i].Grown) == 0 {
				l, i = state(x)
			}
			l.States[i].Grown = slices.Clone(l.States[i].Grown)
			l.States[i].Grown[0][3]++
			x.want("data/"+evidence.CheckpointPath(l.Device, l.States[i].Size), evidence.StateBroken)
		}},
		{"a tablet’s log signed anew by another key", func(x *Tampered) {
			device := pick(x, []journal.DeviceID{Bench, Rack})
			x.D = resigned(x, device)
			x.want("data/"+evidence.CheckpointPath(device, x.D.About.Logs[index(x.D, device)].States[0].Size), evidence.StateUnsigned, evidence.KeysDiffer)
		}},
		{"a tablet’s log rewritten and signed by its own key", func(x *Tampered) {
			x.D = rewritten(x, Rack)
			x.want(x.H.Sealed.String(), evidence.SealRoot, evidence.CosignatureWrong, evidence.CitedOther)
		}},
		{"the tablet's admission left out", func(x *Tampered) {
			at := admission(x.H, pick(x, []journal.DeviceID{Bench, Rack}))
			delete(x.D.Files, evidence.EntryPath(at))
			delete(x.D.Files, evidence.ProofPath(at))
			x.D.About.Entries = slices.DeleteFunc(x.D.About.Entries, func(i evidence.Item) bool { return i.At == at })
			x.want("", evidence.NotAdmitted)
		}},
		{"the tablet's admission forged", func(x *Tampered) {
			device := pick(x, []journal.DeviceID{Bench, Rack})
			at := admission(x.H, device)
			x.D.Files[evidence.EntryPath(at)] = bytes.Replace(x.D.Files[evidence.EntryPath(at)], []byte(x.H.logs[device].key.Verifier()), []byte(foreign(x, device).Verifier()), 1)
			x.want(at.String(), evidence.NotProven, evidence.NotAdmitted)
		}},
		{"the founding forged", func(x *Tampered) {
			at := evidence.At{Device: Hub}
			x.D.Files[evidence.EntryPath(at)] = bytes.Replace(x.D.Files[evidence.EntryPath(at)], []byte(x.H.logs[Hub].key.Verifier()), []byte(foreign(x, Hub).Verifier()), 1)
			x.want("data/"+evidence.EntryPath(at), evidence.ReceiptHub, evidence.StateUnsigned)
		}},
		{"the founding left out", func(x *Tampered) {
			at := evidence.At{Device: Hub}
			x.D.About.Entries = slices.DeleteFunc(x.D.About.Entries, func(i evidence.Item) bool { return i.At == at })
			delete(x.D.Files, evidence.EntryPath(at))
			delete(x.D.Files, evidence.ProofPath(at))
			x.want("data/"+evidence.EntryPath(at), evidence.NoFounding)
		}},
		{"a cited state changed", func(x *Tampered) {
			i := x.Dice.IntN(len(x.D.About.Cited))
			x.D.About.Cited[i].Root[x.Dice.IntN(16)]++
			x.want("data/"+evidence.DossierPath, evidence.CitedBroken, evidence.CitedOther)
		}},
		{"a cited state left out", func(x *Tampered) {
			i := x.Dice.IntN(len(x.D.About.Cited))
			x.D.About.Cited = slices.Delete(x.D.About.Cited, i, i+1)
			x.Want = []evidence.Code{evidence.CitedUnshown}
		}},
	}
}

func otherTamperings() []Tampering {
	return []Tampering{
		{"everything made anew by another hub", func(x *Tampered) {
			x.D = New(x.T, x.H.Seed+" forged", 4).Dossier(Options{})
			x.want("data/"+evidence.EntryPath(evidence.At{Device: Hub}), evidence.ReceiptHub, evidence.ReceiptSeal)
		}},
		{"the past rewritten by the shop itself, with all its keys", func(x *Tampered) {
			other := Rewritten(x.T, x.H.Seed, len(x.H.Covers)-7, ", and nothing was found")
			x.D = other.Dossier(Options{})
			x.want(other.Sealed.String(), evidence.ReceiptSeal)
		}},
		{"a receipt of another job", func(x *Tampered) {
			x.Receipt.Job = Other
			x.Want = []evidence.Code{evidence.ReceiptJob}
		}},
		{"a receipt of another shop", func(x *Tampered) {
			other := New(x.T, x.H.Seed+" other", 4).Receipt()
			other.Shop = "0th3rsh0"
			x.Receipt = &other
			x.Want = []evidence.Code{evidence.ReceiptShop, evidence.ReceiptHub}
		}},
		{"a receipt with another count", func(x *Tampered) {
			x.Receipt.Entries++
			x.want(x.H.Sealed.String(), evidence.ReceiptSeal)
		}},
		{"a receipt with another root of the hub’s log", func(x *Tampered) {
			x.Receipt.Root[x.Dice.IntN(32)]++
			x.want("data/"+evidence.CheckpointPath(Hub, x.Receipt.Size), evidence.ReceiptState)
		}},
		{"a customer card changed", func(x *Tampered) {
			path := evidence.CardPath(x.H.Card.Card)
			x.D.Files[path] = bytes.Replace(x.D.Files[path], []byte("A. Customer"), []byte("B. Customer"), 1)
			x.want("data/"+path, evidence.CardWrong)
		}},
		{"a file added", func(x *Tampered) {
			path := pick(x, []string{"photos/original/extra.jpg", "entries/t3fz8c1n/9999.json", "more.txt"})
			x.D.Files[path] = []byte("more")
			x.want("data/"+path, evidence.FileStray)
		}},
		{"the description cut off", func(x *Tampered) {
			x.D.Plain = []byte(`{"form":"fettlebook dossier","edition":1,"shop":"k7m2q4xw"`)
			x.want("data/"+evidence.DossierPath, evidence.NoDossier)
		}},
	}
}
