package browsertest

import (
	"fmt"
	"strings"
)

// shelf is what a job needs: powder, fluid, tools in date, and the figures of the
// joints.
const shelf = `
{"kind":"powder.received","subject":"lot/so-118","data":{"lot":"so-118","colour":"signal orange","chemistry":"polyester/TGIC","schedule":[{"metal":"180 °C","hold":"10 min"}],"film_low":"60 µm","film_high":"120 µm"}}
{"kind":"fluid.opened","subject":"fluid/bf-31","data":{"fluid":"bf-31","grade":"DOT 4"}}
{"kind":"tool.registered","subject":"tool/tw-1","data":{"tool":"tw-1","what":"torque wrench","low":"40 N·m","high":"200 N·m","tolerance":"4 %"}}
{"kind":"tool.registered","subject":"tool/tw-2","data":{"tool":"tw-2","what":"torque wrench","low":"5 N·m","high":"50 N·m","tolerance":"4 %"}}
{"kind":"tool.registered","subject":"tool/fg-1","data":{"tool":"fg-1","what":"film gauge"}}
{"kind":"tool.registered","subject":"tool/ov-1","data":{"tool":"ov-1","what":"oven"}}
{"kind":"tool.checked","subject":"tool/tw-1","data":{"tool":"tw-1","result":"in tolerance","due":"2099-01-01"}}
{"kind":"tool.checked","subject":"tool/tw-2","data":{"tool":"tw-2","result":"in tolerance","due":"2099-01-01"}}
{"kind":"spec.recorded","subject":"spec/banjo","data":{"spec":"banjo","joint":"banjo bolt","nominal":"22 N·m","low":"20 N·m","high":"24 N·m","from":"maker's manual","page":"4-112"}}
{"kind":"spec.recorded","subject":"spec/bracket","data":{"spec":"bracket","joint":"bracket bolt","nominal":"105 N·m","low":"95 N·m","high":"115 N·m","from":"maker's manual","page":"4-113"}}
{"kind":"spec.recorded","subject":"spec/pin","data":{"spec":"pin","joint":"guide pin bolt","nominal":"30 N·m","low":"27 N·m","high":"33 N·m","from":"maker's manual","page":"4-114"}}
{"kind":"spec.recorded","subject":"spec/wheel","data":{"spec":"wheel","joint":"wheel nuts","nominal":"120 N·m","low":"110 N·m","high":"130 N·m","bolts":5,"from":"maker's manual","page":"4-2"}}
`

// crew are the initials of people who work at benches and have done nothing yet, one for
// each test that works at the house's own: what is offered, begun or may be taken back
// is somebody's, and two tests would be in each other's way as one person.
func crew() (list []string) {
	for _, first := range "QRT" {
		for second := 'A'; second <= 'M'; second++ {
			list = append(list, string(first)+string(second))
		}
	}
	return list
}

// stock fills the shelf and takes the crew on.
func (s *Shop) stock() {
	s.t.Helper()
	var lines strings.Builder
	lines.WriteString(strings.TrimSpace(shelf))
	for _, initials := range crew() {
		fmt.Fprintf(&lines, "\n"+`{"kind":"person.added","subject":"person/%s","data":{"person":%[1]q,"initials":%q,"duties":["bench"]}}`, strings.ToLower(initials), initials)
	}
	s.Command(lines.String(), "add", "-", "--data", s.Hub.Dir, "--by", "io")
}
