package unit

// Units of Voltage. The base is the volt.
const (
	Volt Unit[voltage] = iota + 1
	Millivolt
	Kilovolt
)

var voltages = dimension{
	noun:    "a voltage",
	grouped: true,
	example: "12.6 V",
	scales: []scale{
		Volt:      {spellings: []string{"V"}, times: 1, over: 1, least: anySign},
		Millivolt: {spellings: []string{"mV"}, times: 1, over: 1000, least: anySign},
		Kilovolt:  {spellings: []string{"kV"}, times: 1000, over: 1, least: anySign},
	},
}

// Units of Current. The base is the ampere.
const (
	Ampere Unit[current] = iota + 1
	Milliampere
	Microampere
)

var currents = dimension{
	noun:    "an electric current",
	example: "20 µA",
	scales: []scale{
		Ampere:      {spellings: []string{"A"}, times: 1, over: 1, least: anySign},
		Milliampere: {spellings: []string{"mA"}, times: 1, over: 1000, least: anySign},
		Microampere: {spellings: []string{"\u00b5A", "\u03bcA", "uA"}, times: 1, over: 1e6, least: anySign},
	},
}

// Units of Resistance. The base is the ohm.
const (
	Ohm Unit[resistance] = iota + 1
	Kilohm
	Megohm
)

var resistances = dimension{
	noun:    "a resistance",
	grouped: true,
	example: "1 MΩ",
	scales: []scale{
		// The Greek letter and the ohm sign look alike and are both in use.
		Ohm:    {spellings: []string{"\u03a9", "\u2126", "ohm"}, times: 1, over: 1},
		Kilohm: {spellings: []string{"k\u03a9", "k\u2126", "kohm"}, times: 1000, over: 1},
		Megohm: {spellings: []string{"M\u03a9", "M\u2126", "Mohm"}, times: 1e6, over: 1},
	},
}

// Percent is the one unit of Ratio.
const Percent Unit[ratio] = 1

var ratios = dimension{
	noun:    "a percentage",
	example: "55 %",
	scales: []scale{
		Percent: {spellings: []string{"%"}, times: 1, over: 1},
	},
}

// Units of Area. The base is the square centimetre.
const (
	SquareMetre Unit[area] = iota + 1
	SquareCentimetre
)

var areas = dimension{
	noun:    "an area",
	grouped: true,
	example: "450 cm2",
	scales: []scale{
		SquareMetre:      {spellings: []string{"m²", "m2"}, times: 10000, over: 1},
		SquareCentimetre: {spellings: []string{"cm²", "cm2"}, times: 1, over: 1},
	},
}
