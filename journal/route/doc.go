// Package route says what should have happened in a job, what is missing,
// what was done in the wrong order, and whether the vehicle may be handed
// back.
//
// A route [Card] is data: the stages of one kind of work, with the entries
// and photographs that each wants and its hold points. A hold point has a
// rule of one line in CEL (https://cel.dev) over facts that were worked out
// from the folded job; [Vocabulary] lists them.
//
//	name: caliper
//	edition: 1
//	title: Calipers and brackets, powder coated
//	limits:
//	  heat_minutes: {is: 120, unit: min, source: "common practice, no source"}
//	stages:
//	  - name: cure
//	    title: Bake
//	    level: part
//	    wants: [bake.started, probe.logged]
//	    holds:
//	      - id: heat-dose
//	        title: The casting's heat over its life
//	        class: quality
//	        rule: part.tag.metal == "iron" || part.heat.minutes <= limits.heat_minutes
//	        reason: Heat softens a tempered alloy and does not come back out.
//	        limit: at most {heat_minutes} above 150 °C
//	        source: "common practice, no source"
//
// [Parse] reads a card strictly and checks the type of every rule. [Check]
// holds a job against a card:
//
//	card, err := shelf.Pinned(job, shop)
//	verdicts := route.Check(card, job, shop)
//	verdicts.ReleaseAllowed()
//
// A hold is open, met, broken or waived, and each [Verdict] tells the figures,
// the limit, where the limit comes from, the entries that it rests on and, in
// a sentence, why. The last event counts: a line that is opened again undoes
// the bleeding before it, and a torque tool that a later check finds out of
// tolerance undoes what was tightened with it since the check before.
//
// Everything follows from the fold, so the same entries give the same
// verdicts in whatever order they arrived. Entries of kinds that this version
// does not know count for nothing here. The verdicts are about a record; they
// approve no brake.
package route
