package unit

import "math"

// Dimension is what a quantity measures. Its types are in this package only.
type Dimension interface {
	dimension() *dimension
}

type dimension struct {
	noun    string // with its article, to stand in a sentence
	example string // one quantity that Parse takes
	// grouped says that figures of this kind run into thousands, so that a space between
	// three digits and three is taken for their mark. Elsewhere "105 110 N·m" is rather two
	// readings than one.
	grouped bool
	scales  []scale // by Unit; the first is empty, for the zero Unit
	unclear []unclear
}

// scale places one unit on its dimension: base = (value − zero) × times / over. The
// factor is a quotient so that units such as the minute and the degree Fahrenheit
// convert without a rounded factor.
type scale struct {
	spellings   []string // the usual one first
	times, over float64
	zero        float64 // the number in this unit at the base's zero
	least       float64 // the smallest number that can be meant
}

// unclear is a spelling that people use for two different units.
type unclear struct {
	spelling, problem string
}

func dimensionOf[D Dimension]() *dimension {
	var d D
	return d.dimension()
}

type (
	torque                struct{}
	temperature           struct{}
	temperatureDifference struct{}
	duration              struct{}
	length                struct{}
	distance              struct{}
	volume                struct{}
	pressure              struct{}
	mass                  struct{}
	voltage               struct{}
	current               struct{}
	resistance            struct{}
	ratio                 struct{}
	area                  struct{}
)

func (torque) dimension() *dimension                { return &torques }
func (temperature) dimension() *dimension           { return &temperatures }
func (temperatureDifference) dimension() *dimension { return &temperatureDifferences }
func (duration) dimension() *dimension              { return &durations }
func (length) dimension() *dimension                { return &lengths }
func (distance) dimension() *dimension              { return &distances }
func (volume) dimension() *dimension                { return &volumes }
func (pressure) dimension() *dimension              { return &pressures }
func (mass) dimension() *dimension                  { return &masses }
func (voltage) dimension() *dimension               { return &voltages }
func (current) dimension() *dimension               { return &currents }
func (resistance) dimension() *dimension            { return &resistances }
func (ratio) dimension() *dimension                 { return &ratios }
func (area) dimension() *dimension                  { return &areas }

// dimensions lists them all in the order in which a misplaced unit is explained: °C in
// the field for a torque is called a temperature, not a temperature difference.
var dimensions = []*dimension{
	&torques, &temperatures, &temperatureDifferences, &durations, &lengths, &distances, &volumes,
	&pressures, &masses, &voltages, &currents, &resistances, &ratios, &areas,
}

// Exact by definition (NIST SP 811, appendix B.8).
const (
	inch       = 0.0254          // m
	poundForce = 4.4482216152605 // N
	pound      = 0.45359237      // kg
	mile       = 1.609344        // km
	fluidOunce = 29.5735295625   // mL, United States
	gallon     = 3785.411784     // mL, United States
	kilopond   = 9.80665         // N in one kgf
)

// anySign is the least number of a unit that may be negative without a bound.
var anySign = math.Inf(-1)

// Units of Torque. The base is the newton metre.
const (
	NewtonMetre Unit[torque] = iota + 1
	PoundForceFoot
	PoundForceInch
	DecanewtonMetre
	KilogramForceMetre
)

var torques = dimension{
	noun:    "a torque",
	example: "27 N·m",
	scales: []scale{
		NewtonMetre:        {spellings: times([]string{"N"}, "m"), times: 1, over: 1},
		PoundForceFoot:     {spellings: eitherWay(pounds, "ft"), times: poundForce * 12 * inch, over: 1},
		PoundForceInch:     {spellings: eitherWay(pounds, "in"), times: poundForce * inch, over: 1},
		DecanewtonMetre:    {spellings: times([]string{"daN"}, "m"), times: 10, over: 1},
		KilogramForceMetre: {spellings: eitherWay(kilograms, "m"), times: kilopond, over: 1},
	},
}

// Pounds and kilograms in a torque can only be the force.
var (
	pounds    = []string{"lb", "lbf", "lbs"}
	kilograms = []string{"kgf", "kg"}
)

// times spells a force times an arm in the ways found on wrenches and in books, the usual
// one first.
func times(forces []string, arm string) []string {
	var all []string
	for _, force := range forces {
		for _, sign := range []string{"·", ".", "⋅", " ", "-", ""} {
			all = append(all, force+sign+arm)
		}
	}
	return all
}

// eitherWay spells it with the arm first too: "ft-lbs". Without a sign between them the
// letters could be anything.
func eitherWay(forces []string, arm string) []string {
	var all []string
	for _, force := range forces {
		for _, sign := range []string{"·", ".", "⋅", "-", " "} {
			all = append(all, force+sign+arm, arm+sign+force)
		}
	}
	return all
}

// Units of Temperature. The base is the degree Celsius.
const (
	Celsius Unit[temperature] = iota + 1
	Fahrenheit
)

var (
	celsiusSpellings    = []string{"°C", "degC", "C", "ºC", "℃"}
	fahrenheitSpellings = []string{"°F", "degF", "F", "ºF", "℉"}
	bareDegree          = []unclear{
		{"°", "° alone may be °C or °F: write which"},
		{"deg", "deg alone may be °C or °F: write which"},
	}
)

var temperatures = dimension{
	noun:    "a temperature",
	example: "200 °C",
	scales: []scale{
		Celsius:    {spellings: celsiusSpellings, times: 1, over: 1, least: -273.15},
		Fahrenheit: {spellings: fahrenheitSpellings, times: 5, over: 9, zero: 32, least: -459.67},
	},
	unclear: bareDegree,
}

// Units of TemperatureDifference. The base is the kelvin.
const (
	Kelvin Unit[temperatureDifference] = iota + 1
	CelsiusDegree
	FahrenheitDegree
)

var temperatureDifferences = dimension{
	noun:    "a temperature difference",
	example: "5 K",
	scales: []scale{
		Kelvin:           {spellings: []string{"K"}, times: 1, over: 1, least: anySign},
		CelsiusDegree:    {spellings: celsiusSpellings, times: 1, over: 1, least: anySign},
		FahrenheitDegree: {spellings: fahrenheitSpellings, times: 5, over: 9, least: anySign},
	},
	unclear: bareDegree,
}

// Units of Duration. The base is the second.
const (
	Minute Unit[duration] = iota + 1
	Second
	Hour
)

var durations = dimension{
	noun:    "a duration",
	grouped: true,
	example: "20 min",
	scales: []scale{
		Minute: {spellings: []string{"min"}, times: 60, over: 1},
		Second: {spellings: []string{"s"}, times: 1, over: 1},
		Hour:   {spellings: []string{"h"}, times: 3600, over: 1},
	},
	unclear: []unclear{{"m", "m is the metre: write min for minutes"}},
}

// Units of Length. The base is the micrometre.
const (
	Micrometre Unit[length] = iota + 1
	Mil
	Millimetre
	Inch
)

var lengths = dimension{
	noun:    "a length",
	example: "80 µm",
	scales: []scale{
		// The micro sign and the Greek letter look alike and are both in use.
		Micrometre: {spellings: []string{"\u00b5m", "\u03bcm", "um", "micron", "microns"}, times: 1, over: 1},
		Mil:        {spellings: []string{"mil", "mils"}, times: 1000 * inch, over: 1},
		Millimetre: {spellings: []string{"mm"}, times: 1000, over: 1},
		Inch:       {spellings: []string{"in"}, times: 1e6 * inch, over: 1},
	},
}

// Units of Distance. The base is the kilometre.
const (
	Kilometre Unit[distance] = iota + 1
	Mile
)

var distances = dimension{
	noun:    "a distance",
	grouped: true,
	example: "84210 km",
	scales: []scale{
		Kilometre: {spellings: []string{"km"}, times: 1, over: 1},
		Mile:      {spellings: []string{"mi", "mile", "miles"}, times: mile, over: 1},
	},
}

// Units of Volume. The base is the millilitre.
const (
	Millilitre Unit[volume] = iota + 1
	Litre
	USFluidOunce
	USGallon
)

const (
	unclearOunce  = " is 29.57 mL in the US and 28.41 mL in the UK: write US fl oz, or the volume in mL"
	unclearGallon = " is 3.785 L in the US and 4.546 L in the UK: write US gal, or the volume in L"
)

var volumes = dimension{
	noun:    "a volume",
	grouped: true,
	example: "350 mL",
	scales: []scale{
		Millilitre:   {spellings: []string{"mL", "ml"}, times: 1, over: 1},
		Litre:        {spellings: []string{"L", "l"}, times: 1000, over: 1},
		USFluidOunce: {spellings: []string{"US fl oz", "fl oz (US)"}, times: fluidOunce, over: 1},
		USGallon:     {spellings: []string{"US gal", "gal (US)"}, times: gallon, over: 1},
	},
	unclear: []unclear{{"fl oz", "fl oz" + unclearOunce}, {"oz", "oz" + unclearOunce}, {"gal", "gal" + unclearGallon}},
}

// Units of Pressure. The base is the kilopascal.
const (
	Kilopascal Unit[pressure] = iota + 1
	PSI
	Bar
	Megapascal
)

var pressures = dimension{
	noun:    "a pressure",
	grouped: true,
	example: "60 psi",
	scales: []scale{
		Kilopascal: {spellings: []string{"kPa"}, times: 1, over: 1, least: anySign},
		PSI:        {spellings: []string{"psi", "PSI"}, times: poundForce / (inch * inch * 1000), over: 1, least: anySign},
		Bar:        {spellings: []string{"bar"}, times: 100, over: 1, least: anySign},
		Megapascal: {spellings: []string{"MPa"}, times: 1000, over: 1, least: anySign},
	},
}

// Units of Mass. The base is the kilogram.
const (
	Kilogram Unit[mass] = iota + 1
	Gram
	Pound
)

var masses = dimension{
	noun:    "a mass",
	grouped: true,
	example: "20 kg",
	scales: []scale{
		Kilogram: {spellings: []string{"kg"}, times: 1, over: 1},
		Gram:     {spellings: []string{"g"}, times: 1, over: 1000},
		Pound:    {spellings: []string{"lb"}, times: pound, over: 1},
	},
}
