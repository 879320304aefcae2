package shop

// Edition is that of the summaries, by which benchmarks see that none is due.
var Edition = edition

// SummarizeAll is what the background does when something has changed.
var SummarizeAll = (*Shop).summarizeAll

// BringUp is that, with what it says when it is done.
var BringUp = (*Shop).bringUp

// Due is what has the background work.
func Due(s *Shop) <-chan struct{} { return s.due }

// ReadAhead is what a serving process does once it has followed the log.
var ReadAhead = (*Shop).readAhead
