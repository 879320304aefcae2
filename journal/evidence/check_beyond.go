package evidence

import "fmt"

// checkBeyond says what nobody can know from this file, whatever is in it.
func (r *reading) checkBeyond() (Answer, error) {
	a := Answer{Question: Beyond}
	unknown := func(code Code, says string, args ...any) {
		a.add(Finding{Code: code, Verdict: Unknown, Says: fmt.Sprintf(says, args...)})
	}
	if r.receipt == nil {
		unknown(HubUnknown, "Who the hub is: the file names its own hub. Compare the fingerprint of its keys with the customer's receipt, or ask the shop.")
	}
	unknown(LaterUnknown, "Whether more was written about this work after what is here. Up to a seal the seal shows it; after it nothing does.")
	unknown(RegisterUnknown, "Whether the register says more about the devices than what is here, such as that one was revoked. The hub does not countersign a device that it knows to be revoked.")
	unknown(ClocksUnknown, "Whether the hub's own clock was right. The times of devices and cameras are their own.")
	for _, p := range r.d.Photos {
		if !p.Copy.IsZero() {
			unknown(CopiesUnknown, "Whether the copies of photographs, from which the location was taken out, show what the originals show. Each has its original's hash, and the shop keeps the original; the thumbnails are the ones that the entries cite.")
			break
		}
	}
	for _, p := range r.bag.Paths() {
		if paper(p) {
			unknown(PapersUnknown, "Whether the report and the other papers say what the entries say. The entries count.")
			break
		}
	}
	unknown(WorkUnknown, "Whether the work was done as it was written down, and whether a photograph shows what it is said to show. This is a record, not an approval: the vehicle maker's data, local rules and licensed practice come first.")
	a.settle("", "", "Some things cannot be known from any such file.")
	return a, nil
}
