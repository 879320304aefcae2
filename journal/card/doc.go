// Package card reads route cards: the stages of one kind of work, with the
// entries and photographs that each wants and its hold points.
//
// A hold point has a rule of one line in CEL (https://cel.dev) over facts that
// are worked out from the folded job; [Vocabulary] lists them, and the structs
// whose names end in Facts are what a rule reads.
//
//	name: caliper
//	edition: 1
//	title: Calipers and brackets, powder coated
//	limits:
//	  heat_minutes: {is: 120, unit: min, source: "shop default"}
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
//	        source: "shop default"
//
// [Parse] reads a card strictly, tells every mistake with its line and column,
// and checks the type of every rule, and that each limit is in a unit of the
// facts that rules compare it with: it is converted to theirs. A [Shelf] keeps cards that were read.
// This package knows no job: what the facts of one are is worked out
// elsewhere.
package card
