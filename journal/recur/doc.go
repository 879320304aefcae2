// Package recur looks for what recurring defects go with. All of it is worked
// out from a parts table (journal/parts) and from nothing else, so that anybody
// can work it out again from the table's CSV form.
//
// A [Study] asks of one look of defects: how often (with the interval that the
// counts leave open), how it went over time, and which factors go with it. It
// keeps to these rules:
//
//   - Parts that nobody looked at count nowhere; what nobody wrote down of a
//     part leaves it out of that factor only.
//   - Groups are compared within the same kind of part and the same metal, by
//     the exact conditional test ([stat.ExactStrata]), so that nobody is blamed
//     for getting the harder parts.
//   - Parts are taken to come out independently of each other, but for what is
//     held equal. What spoils a whole day, rack or load is a factor of its own.
//   - A number is cut where the data show. A factor of several values or cuts
//     is tried at each of them; its p is the smallest, times the tries that
//     could have shown anything.
//   - Over all factors that were tried, shown or not, false finds are held
//     down (Benjamini and Hochberg).
//   - What is found is held equal in turn, and the rest is tried again: what
//     only went along with it is not accused. What cannot be told from it,
//     because the same parts had both, is named beside it, with the trial that
//     would part the two.
//
// A study finds what goes with a defect. What makes it is for people and a
// trial to say.
package recur
