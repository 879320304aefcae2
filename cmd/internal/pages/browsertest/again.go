package browsertest

import "regexp"

// again is what a page may say twice, and why.
type again struct{ page, says, why string }

func exceptions() []again {
	return []again{
		{`^/write/photo\.marked/`, `^Mark something on a copy$`, "the button of a form does what its heading says"},
		{`^/(stage/received|correct)/`, `^Damage and faults already there$`, "the form of what came in asks once for the vehicle and once for its corner"},
		{`^/stage/seats/`, `^No seat has been shown bare yet$`, "of two hold points, whose limits differ, the same is missing"},
		{`^/stage/`, `^inside the recorded figure, with a registered tool in calibration`, "each joint has its own hold point, with its limit and its source, and those of two may be the same"},
		{`^/run/`, `^(Asked: a schedule fraction of |Source: data sheet of lot |Time counts from .*; gaps do not count|The lenient reading, from |The metal there was at or above )`, "each probe is judged by itself against the schedule, with its limit and source beside it, and two of them may come to the same"},
		{`^/entry/`, `^(This is a record, not an approval|The vehicle maker’s data, local rules and licensed practice come first)\.$`, "the entry quotes the sheet that was handed over, which says so too"},
		{`^/now/`, `^Photograph: `, "several forms stand on the page, and two of them may lack a photograph of one role"},
		{`^/(job|vehicle|claim)/`, `^(Promised|Handed back on|Time or distance|Was it driven|Film, asked|In words|Before the work|After the work|Calipers and brackets|.*: nobody took a photograph, neither)`, "each complaint and each job of a vehicle is told whole, since each may be printed alone"},
		{`^/investigation/`, `^(It goes with|The same parts had|.* only go along)`, "what was found stands in the words of whoever wrote it, often the study's own, and beside it what it goes with now"},
		{`^/casting/`, ` of `, "a casting's stay is named in the list of its life and over what was done to it then"},
		{`^/holds/`, `^(Limit|rests on|This can only be met)`, "each hold point says its own limit and its own evidence"},
	}
}

// twice leaves out what a page may say twice.
func twice(path string, found []string) (list []string) {
	for _, says := range found {
		excused := false
		for _, x := range exceptions() {
			excused = excused || regexp.MustCompile(x.page).MatchString(path) && regexp.MustCompile(x.says).MatchString(says)
		}
		if !excused {
			list = append(list, says)
		}
	}
	return list
}
