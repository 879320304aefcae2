package route

// vehicleFacts are the facts of the vehicle as a whole.
type vehicleFacts struct {
	Arrival   arrivalFacts   `fact:"arrival"`
	Stands    standFacts     `fact:"stands"`
	Bleed     orderingFacts  `fact:"bleed"`
	Reservoir reservoirFacts `fact:"reservoir"`
	Fluid     fluidFacts     `fact:"fluid"`
	Leak      leakFacts      `fact:"leak"`
	Pedal     pedalFacts     `fact:"pedal"`
	Parking   parkingFacts   `fact:"parking_brake"`
	Setting   settingFacts   `fact:"parking_brake_set"`
	Defects   defectFacts    `fact:"defects"`
	Road      roadFacts      `fact:"road"`
	Second    secondFacts    `fact:"second"`
}

type (
	arrivalFacts struct {
		ground
		Done   bool `fact:"done" says:"the vehicle was looked at as it came in"`
		Agreed bool `fact:"agreed" says:"the customer accepted the list of what was found"`
		InTime bool `fact:"in_time" says:"before any part came off"`
		Photos int  `fact:"photos" says:"photographs of it"`
	}

	standFacts struct {
		ground
		Done   bool `fact:"done" says:"the vehicle stands on stands"`
		Stands int  `fact:"stands" says:"how many"`
		InTime bool `fact:"in_time" says:"before any part came off"`
	}

	orderingFacts struct {
		ground
		Begun    bool     `fact:"begun" says:"a corner was bled"`
		Complete bool     `fact:"complete" says:"no corner needs bleeding and no line is open"`
		InOrder  bool     `fact:"in_order" says:"the corners were bled in the order of the card"`
		Needs    []string `fact:"needs" says:"corners that are to be bled"`
	}

	reservoirFacts struct {
		ground
		Looked   bool `fact:"looked" says:"somebody looked before the first bleeding, between every two corners and after the last"`
		RanDry   bool `fact:"ran_dry" says:"it ran dry since the bleeding that counts was begun"`
		BelowMin bool `fact:"below_min" says:"levels and volumes say that it was below MIN"`
	}

	fluidFacts struct {
		ground
		Used  bool `fact:"used" says:"fluid went in"`
		Known bool `fact:"known" says:"each container is on the register"`
		Mixes bool `fact:"mixes" says:"all of it may meet in one system"`
	}

	leakFacts struct {
		ground
		Done    bool    `fact:"done" says:"held under pressure after the last work on the hydraulics"`
		Dry     bool    `fact:"dry" says:"nothing wept"`
		Seconds float64 `fact:"seconds" says:"how long it was held"`
	}

	pedalFacts struct {
		ground
		Done bool `fact:"done" says:"tried after the last work on the hydraulics"`
		Firm bool `fact:"firm" says:"it was firm"`
	}

	parkingFacts struct {
		ground
		Serviced bool `fact:"serviced" says:"an electric parking brake was put into or out of service mode"`
		Out      bool `fact:"out" says:"it was put into service mode and out again"`
	}

	settingFacts struct {
		ground
		Done bool `fact:"done" says:"calibrated after it was last in service mode"`
		Lamp bool `fact:"lamp_off" says:"its lamp was off then"`
	}

	roadFacts struct {
		ground
		Done    bool    `fact:"done" says:"driven after all other work"`
		Checked bool    `fact:"checked" says:"held under pressure and the pedal tried before, since the last work on the hydraulics"`
		Km      float64 `fact:"km" says:"how far"`
	}

	secondFacts struct {
		ground
		Wanted bool `fact:"wanted" says:"somebody with the duty second check did not do all the work alone"`
		Done   bool `fact:"done" says:"such a person found another's work right, after the last work on the brakes"`
	}
)

// vehicleFacts works out the facts of the vehicle.
func (w *work) vehicleFacts() *vehicleFacts {
	return &vehicleFacts{
		Arrival: w.arrival(), Stands: w.stands(),
		Bleed: w.bleeding(), Reservoir: w.reservoir(), Fluid: w.fluid(), Leak: w.leak(), Pedal: w.pedal(),
		Parking: parking(w.all), Setting: setting(w.all), Defects: w.defects(w.all), Road: w.road(), Second: w.second(),
	}
}
