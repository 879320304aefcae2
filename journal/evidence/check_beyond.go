package evidence

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// checkBeyond says what nobody can know from this file, whatever is in it.
func (r *reading) checkBeyond() (Answer, error) {
	a := Answer{Question: Beyond}
	unknown := func(code Code, says string, args ...any) {
		a.add(Finding{Code: code, Verdict: Unknown, Says: fmt.Sprintf(says, args...)})
	}
	if r.receipt == nil {
		unknown(HubUnknown, "Nothing shows who the hub is: the file names its own. Compare the fingerprint of its keys with the customer’s receipt, or ask the shop.")
	}
	if now := r.reg.hub.Now(); now.Change != nil && (r.receipt == nil || now.Fingerprint() != journal.Digest(r.receipt.Hub)) {
		by := "whoever had the old ones could make such a change"
		if now.Change.Unsigned() {
			by = "only the agreement of the tablets speaks for them"
		}
		unknown(KeysUnknown, "Nothing shows who changed the hub’s keys: %s. Compare the fingerprint of the newest keys, which begins with %s, with a receipt that was printed since, or ask the shop.", by, now.Fingerprint().Begins())
	}
	switch stamped := r.stampedAnywhere(); {
	case stamped && len(r.authorities) == 0:
		unknown(OutsideUnknown, "Nothing shows who the timestamp authority is, or that it is independent of the shop: the file names it. Compare the certificate’s fingerprint with what the authority publishes, or check the file against the root certificates that it publishes.")
	case stamped:
		unknown(OutsideUnknown, "Nothing shows whether the timestamp authority’s certificate was revoked: nobody was asked. That the certificates that were given are those of an authority that can be trusted is for whoever gave them to know.")
	}
	if len(r.d.Witnesses) > 0 {
		unknown(OutsideUnknown, "Nothing shows who the witnesses are, or that they are independent of the shop: the file names them. Compare their keys with what they publish.")
	}
	unknown(LaterUnknown, "Nothing shows whether more was written about this work after what is here. Up to a seal the seal shows it.")
	unknown(RegisterUnknown, "Nothing shows whether the register says more about the devices than what is here, such as that one was revoked. The hub does not countersign a device that it knows to be revoked.")
	unknown(ClocksUnknown, "Nothing shows whether the hub’s own clock was right. The times of devices and cameras are their own.")
	for _, p := range r.d.Photos {
		if !p.Copy.IsZero() {
			unknown(CopiesUnknown, "Nothing shows whether a small part of a copy, from which the location was taken out, was changed. Each was compared with the thumbnail that the entries cite only as a whole. The original, whose hash the entries cite, is kept by the shop.")
			break
		}
	}
	for _, p := range r.bag.Paths() {
		if paper(p) {
			unknown(PapersUnknown, "It was not checked whether the report and the other papers say what the entries say. The entries count.")
			break
		}
	}
	for _, l := range r.d.Left {
		unknown(LeftOut, "The shop says that it left something out of this file: %s%s, because %s.", l.What, words.If(l.Count > 0, fmt.Sprintf(" (%d)", l.Count)), l.Why)
	}
	unknown(WorkUnknown, "Nothing shows whether the work was done as it was written down, or whether a photograph shows what it is said to show. This is a record, not an approval: the vehicle maker’s data, local rules and licensed practice come first.")
	a.settle("", "", "Some things cannot be known from any such file.")
	return a, nil
}
