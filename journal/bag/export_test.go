package bag

// Limit makes a bag full at so many bytes.
func (w *Writer) Limit(most int64) { w.out.most = most }
