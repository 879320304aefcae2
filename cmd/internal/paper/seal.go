package paper

import (
	"fmt"

	"fettlebook/journal/evidence"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// SealBroken is returned instead of a receipt when an entry of a sealed job is not as
// it was handed over.
type SealBroken struct{ Says string }

// Error says so, and what to do.
func (e *SealBroken) Error() string { return e.Says }

// sealing is how the job stands against its seal, and the receipt over it, if both are
// here.
func (t *told) sealing() (*shop.Sealing, *evidence.Receipt) {
	if t.held == nil || t.ask.Seal == nil {
		return t.held, nil
	}
	return t.held, t.ask.Seal(t.Job.ID)
}

// unsealed says why there is no code.
func (t *told) unsealed(is *shop.Sealing) Text {
	switch {
	case t.Job.Sealed == nil:
		return Text{{"This job is not sealed yet. ", Bold}, {"Until it is, this sheet holds nothing against which the record could be checked. Ask the shop for it again.", Plain}}
	case is == nil:
		return say("The seal of this job does not count; the record says why.")
	}
	return Text{{fmt.Sprintf("Sealed, %s. ", words.Count(is.Seal.Entries, "entry")), Bold}, {"The hub’s signature over the seal is not on this machine yet, so there is no code here. Ask the shop for it again.", Plain}, {Face: Break}, {is.Seal.Root.String(), Figure}}
}

// seal is the foot of the receipt.
func (t *told) seal() []Block {
	caution := Caution{say(record.Caution)}
	is, receipt := t.sealing()
	if receipt == nil {
		return []Block{caution, t.unsealed(is)}
	}
	beside := []Text{
		{{"Keep this sheet. ", Bold}, {fmt.Sprintf("Its code holds a fingerprint of the %s of this job. If anybody, the shop included, changes one of them or leaves one out, the record no longer agrees with this sheet.", words.Count(is.Seal.Entries, "entry")), Plain}},
		say("To check it, ask the shop for the file of this job and verify that file with this code: in a browser, without a network, and without having to trust the shop. The code shows that the record is unchanged since the handover; it cannot show that what was written was true."),
	}
	if is.State != shop.SealFits {
		beside = append(beside, strong(is.Says()))
	}
	return []Block{caution, Code{Holds: receipt.String(), Beside: append(beside, figure(receipt.String()))}}
}

// sealed is the seal in the report, which the customer's receipt is held against.
func (t *told) sealed() Block {
	is, receipt := t.sealing()
	if receipt == nil {
		return t.unsealed(is)
	}
	return Text{{is.Says() + " ", Bold}, {"The receipt that the customer has of this job reads: ", Plain}, {receipt.String(), Figure}}
}
