package paper

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// sealing is what the seal of a job says, and the receipt over it, if both are here.
func (t *told) sealing() (*journal.Seal, *evidence.Receipt) {
	if t.Job.Sealed == nil {
		return nil, nil
	}
	seal, ok := t.Job.Sealed.Effect().(*journal.Seal)
	if !ok || t.ask.Seal == nil {
		return seal, nil
	}
	return seal, t.ask.Seal(t.Job.ID)
}

// unsealed says why there is no code.
func (t *told) unsealed(seal *journal.Seal) Text {
	switch {
	case t.Job.Sealed == nil:
		return Text{{"This job is not sealed yet. ", Bold}, {"Until it is, this sheet holds nothing against which the record could be checked. Ask the shop for it again.", Plain}}
	case seal == nil:
		return say("The seal of this job does not count; the record says why.")
	}
	return Text{{fmt.Sprintf("Sealed, %s. ", words.Count(seal.Entries, "entry")), Bold}, {"The hub’s signature over the seal is not on this machine yet, so there is no code here. Ask the shop for it again.", Plain}, {Face: Break}, {seal.Root.String(), Figure}}
}

// seal is the foot of the receipt.
func (t *told) seal() []Block {
	caution := Caution{say(record.Caution)}
	seal, receipt := t.sealing()
	if receipt == nil {
		return []Block{caution, t.unsealed(seal)}
	}
	return []Block{caution, Code{Holds: receipt.String(), Beside: []Text{
		{{"Keep this sheet. ", Bold}, {fmt.Sprintf("Its code holds a fingerprint of the %s of this job. If anybody, the shop included, changes one of them or leaves one out, the record no longer agrees with this sheet.", words.Count(seal.Entries, "entry")), Plain}},
		say("To check it, ask the shop for the file of this job and verify that file with this code: in a browser, without a network, and without having to trust the shop. The code shows that the record is unchanged since the handover; it cannot show that what was written was true."),
		figure(receipt.String()),
	}}}
}

// sealed is the seal in the report, which the customer's receipt is held against.
func (t *told) sealed() Block {
	seal, receipt := t.sealing()
	if receipt == nil {
		return t.unsealed(seal)
	}
	return Text{{fmt.Sprintf("Sealed, %s. ", words.Count(seal.Entries, "entry")), Bold}, {"The receipt that the customer has of this job reads: ", Plain}, {receipt.String(), Figure}}
}
