package bolt

import (
	"math"

	"fettlebook/journal/trade/sheet"
)

// The two kinds of proof loads, and where they are from.
const (
	tableSource  = "table of proof loads of ISO 898-1, as fastener suppliers print it; lower for hot-dip galvanised M8 and M10"
	memorySource = "table of proof loads of ISO 898-1"
	workedSource = "proof stress of ISO 898-1 times the stress area, since its tables have no such bolt"
)

// Proof is the load that a bolt takes without lasting stretch.
type Proof struct {
	Load   float64 // N
	Source string
}

// classes are the columns of the tables.
func classes() []Class {
	return []Class{Class4_6, Class4_8, Class5_6, Class5_8, Class6_8, Class8_8, Class9_8, Class10_9, Class12_9}
}

// proofTable returns the row of a thread, in N by classes, 0 where the table has nothing.
// The rows that suppliers print were read there; those of M30 and above and of fine
// threads are from memory. They are rounded by hand here and there, so that no rule gives
// all of them.
func proofTable(t Thread) (loads [9]float64, source string) {
	coarse := map[float64][9]float64{
		3:   {1130, 1560, 1410, 1910, 2210, 2920, 3270, 4180, 4880},
		3.5: {1530, 2100, 1900, 2580, 2980, 3940, 4410, 5630, 6580},
		4:   {1980, 2720, 2460, 3340, 3860, 5100, 5710, 7290, 8520},
		5:   {3200, 4400, 3980, 5400, 6250, 8230, 9230, 11800, 13800},
		6:   {4520, 6230, 5630, 7640, 8840, 11600, 13100, 16700, 19500},
		7:   {6500, 8960, 8090, 11000, 12700, 16800, 18800, 24000, 28000},
		8:   {8240, 11400, 10200, 13900, 16100, 21200, 23800, 30400, 35500},
		10:  {13000, 18000, 16200, 22000, 25500, 33700, 37700, 48100, 56300},
		12:  {19000, 26100, 23600, 32000, 37100, 48900, 54800, 70000, 81800},
		14:  {25900, 35600, 32200, 43700, 50600, 66700, 74800, 95500, 112000},
		16:  {35300, 48700, 44000, 59700, 69100, 91000, 102000, 130000, 152000},
		18:  {43200, 59500, 53800, 73000, 84500, 115000, 0, 159000, 186000},
		20:  {55100, 76000, 68600, 93100, 108000, 147000, 0, 203000, 238000},
		22:  {68200, 93900, 84800, 115000, 133000, 182000, 0, 252000, 294000},
		24:  {79400, 109000, 98800, 134000, 155000, 212000, 0, 293000, 342000},
		27:  {103000, 142000, 128000, 174000, 202000, 275000, 0, 381000, 445000},
	}
	remembered := map[Thread][9]float64{
		{30, 3.5}: {126000, 174000, 157000, 213000, 247000, 337000, 0, 466000, 544000},
		{33, 3.5}: {156000, 215000, 194000, 264000, 305000, 416000, 0, 576000, 673000},
		{36, 4}:   {184000, 253000, 229000, 310000, 359000, 490000, 0, 678000, 792000},
		{39, 4}:   {220000, 303000, 273000, 371000, 429000, 586000, 0, 810000, 947000},

		{8, 1}:     {8820, 12200, 11000, 14900, 17200, 22700, 25500, 32500, 38000},
		{10, 1}:    {14500, 20000, 18100, 24500, 28400, 37400, 41900, 53500, 62700},
		{10, 1.25}: {13800, 19000, 17100, 23300, 26900, 35500, 39800, 50800, 59400},
		{12, 1.25}: {20700, 28600, 25800, 35000, 40500, 53400, 59900, 76400, 89300},
		{12, 1.5}:  {19800, 27300, 24700, 33500, 38800, 51100, 57300, 73100, 85500},
		{14, 1.5}:  {28100, 38800, 35000, 47500, 55000, 72500, 81200, 104000, 121000},
		{16, 1.5}:  {37600, 51800, 46800, 63500, 73500, 96900, 109000, 139000, 162000},
		{18, 1.5}:  {48600, 67000, 60500, 82100, 95000, 130000, 0, 179000, 210000},
		{20, 1.5}:  {61200, 84300, 76200, 103000, 120000, 163000, 0, 226000, 264000},
		{24, 2}:    {86400, 119000, 108000, 146000, 169000, 230000, 0, 319000, 372000},
		{27, 2}:    {112000, 154000, 139000, 188000, 218000, 298000, 0, 412000, 481000},
	}
	if loads, known := coarse[t.Diameter]; known && t.Pitch == pitches(t.Diameter)[0] {
		return loads, tableSource
	}
	return remembered[t], memorySource
}

// ProofLoad returns the load that a bolt of the class takes without lasting stretch, as
// ISO 898-1 prints it. Where its tables have no such thread it is stress area times proof
// stress, both area and load rounded to three figures as they are there. Errors are of
// type *Error.
func ProofLoad(t Thread, c Class) (Proof, error) {
	if err := t.check(); err != nil {
		return Proof{}, err
	}
	stress, err := c.proofStress(t.Diameter)
	if err != nil {
		return Proof{}, err
	}
	loads, source := proofTable(t)
	for i, class := range classes() {
		if class == c && loads[i] > 0 {
			return Proof{loads[i], source}, nil
		}
	}
	return Proof{threeFigures(threeFigures(t.StressArea()) * stress), workedSource}, nil
}

// proofStress returns the stress under proof load in MPa. Those of 8.8 and 10.9 were read
// as such in tables that quote ISO 898-1; the others are from memory, and give the loads
// that those tables print.
func (c Class) proofStress(diameter float64) (megapascals float64, err error) {
	switch c {
	case Class4_6:
		return 225, nil
	case Class4_8:
		return 310, nil
	case Class5_6:
		return 280, nil
	case Class5_8:
		return 380, nil
	case Class6_8:
		return 440, nil
	case Class8_8:
		if diameter > 16 {
			return 600, nil
		}
		return 580, nil
	case Class9_8:
		if diameter > 16 {
			return 0, sheet.Refuse("the property class", string(c), "it exists up to M16 only: look at the head again")
		}
		return 650, nil
	case Class10_9:
		return 830, nil
	case Class12_9:
		return 970, nil
	}
	return 0, sheet.Refuse("the property class", string(c), "ISO 898-1 has 4.6, 4.8, 5.6, 5.8, 6.8, 8.8, 9.8, 10.9 and 12.9: read the stamp on the head")
}

func threeFigures(v float64) float64 {
	scale := math.Pow(10, math.Floor(math.Log10(v))-2)
	return math.Round(v/scale) * scale
}
