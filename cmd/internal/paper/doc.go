// Package paper writes the papers that people are given: the customer's receipt
// and the report in a dossier. A paper is a [Document], a few kinds of blocks,
// and is drawn twice from the same blocks: as one HTML page that needs nothing
// beside it, and as a PDF for print.
//
//	doc, err := paper.NewReceipt(ctx, view, standing, paper.Asked{At: now, Photos: photos, Seal: receipt})
//	doc, err := paper.NewReport(ctx, view, paper.About{Jobs: jobs}, paper.Asked{At: last, Photos: photos})
//	...
//	err = doc.HTML(w, paper.Screen{})
//	err = doc.PDF(w)
//
// Whoever has a [shop.View] can write both papers: a command, the desk, and the
// builder of a dossier, which is handed NewReport as a function. Nothing on a paper
// tells when it was made: the same logs give the same bytes. What hangs on a moment,
// which promises are due, goes by Asked.At.
//
// A paper works nothing out. What it says are the statements of package facts, the
// verdicts and promises of package route and the lines of package record, in the
// order in which a reader wants them.
package paper
