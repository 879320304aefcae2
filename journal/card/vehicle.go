package card

// VehicleFacts are the facts of the vehicle as a whole.
type VehicleFacts struct {
	Arrival   ArrivalFacts    `fact:"arrival"`
	Stands    StandFacts      `fact:"stands"`
	Bleed     OrderingFacts   `fact:"bleed"`
	Order     BleedOrderFacts `fact:"bleed_order"`
	Reservoir ReservoirFacts  `fact:"reservoir"`
	Fluid     FluidFacts      `fact:"fluid"`
	Leak      LeakFacts       `fact:"leak"`
	Pedal     PedalFacts      `fact:"pedal"`
	Parking   ParkingFacts    `fact:"parking_brake"`
	Setting   SettingFacts    `fact:"parking_brake_set"`
	Holding   HoldingFacts    `fact:"parking_brake_hold"`
	Defects   DefectFacts     `fact:"defects"`
	Road      RoadFacts       `fact:"road"`
	Second    SecondFacts     `fact:"second"`

	Conditions ConditionFacts `fact:"conditions"`
}

type (
	ArrivalFacts struct {
		Done   bool `fact:"done" says:"the vehicle was looked at as it came in"`
		Agreed bool `fact:"agreed" says:"the customer accepted the list of what was found"`
		InTime bool `fact:"in_time" says:"before any part came off"`
		Photos int  `fact:"photos" says:"photographs of it"`
	}

	StandFacts struct {
		Done   bool `fact:"done" says:"the vehicle stands on stands"`
		Stands int  `fact:"stands" says:"how many"`

		Lift    bool    `fact:"lift" says:"it hung on a lift whenever it was raised"`
		PerAxle float64 `fact:"per_axle" says:"the fewest stands for each axle that was worked on at a time"`
		InTime  bool    `fact:"in_time" says:"before any part came off"`
	}

	OrderingFacts struct {
		Asked    bool     `fact:"asked" says:"a line was opened or closed, a part that a line leads to came off, a corner was bled, or the reservoir ran dry"`
		Begun    bool     `fact:"begun" says:"a corner was bled"`
		Complete bool     `fact:"complete" says:"no corner needs bleeding and no line is open"`
		InOrder  bool     `fact:"in_order" says:"the corners were bled in the vehicle’s order, or else the card’s, or else the farthest from the master cylinder first"`
		Needs    []string `fact:"needs" says:"corners that are to be bled"`
	}

	BleedOrderFacts struct {
		Known bool `fact:"known" says:"the vehicle’s own order of bleeding is on record, or the card has one"`
		Kept  bool `fact:"kept" says:"the corners were bled in it"`
	}

	ReservoirFacts struct {
		Looked   bool `fact:"looked" says:"somebody looked before the first bleeding, between every two corners and after the last"`
		RanDry   bool `fact:"ran_dry" says:"it ran dry since the bleeding that counts was begun"`
		BelowMin bool `fact:"below_min" says:"levels and volumes say that it was below MIN"`
	}

	FluidFacts struct {
		Used  bool `fact:"used" says:"fluid went in"`
		Known bool `fact:"known" says:"each container is on the register"`
		Mixes bool `fact:"mixes" says:"all of it may meet in one system"`

		Stated   bool    `fact:"stated" says:"the grade that the vehicle itself asks for is on record"`
		Meets    bool    `fact:"meets" says:"nothing went in that must not meet the vehicle’s grade, as far as that is on record"`
		AtLeast  bool    `fact:"at_least" says:"the vehicle’s grade is stated, and nothing went in that boils lower"`
		Expired  bool    `fact:"expired" says:"fluid went in after the last day on its container"`
		OpenDays float64 `fact:"open_days" unit:"d" says:"the most days that a container was open when fluid of it went in"`
	}

	LeakFacts struct {
		Done    bool    `fact:"done" says:"held under pressure after the last work on the hydraulics"`
		Dry     bool    `fact:"dry" says:"nothing wept"`
		Seconds float64 `fact:"seconds" unit:"s" says:"how long it was held"`
	}

	PedalFacts struct {
		Done bool `fact:"done" says:"tried after the last work on the hydraulics"`
		Firm bool `fact:"firm" says:"it was firm"`
	}

	ParkingFacts struct {
		Serviced bool `fact:"serviced" says:"the parking brake was serviced"`

		Known     bool `fact:"known" says:"what kind it is is on record"`
		Electric  bool `fact:"electric" says:"it has a motor on the caliper"`
		Touched   bool `fact:"touched" says:"it was serviced, or a rear caliper that it acts on came off"`
		InTime    bool `fact:"in_time" says:"in service mode before the first rear caliper came off, if one did"`
		LeftAfter bool `fact:"left_after" says:"out of service mode after the last rear caliper was back, if one came off"`
		Out       bool `fact:"out" says:"it was put into service mode and out again"`
	}

	SettingFacts struct {
		Done bool `fact:"done" says:"calibrated or adjusted after it was last in service mode and the last rear caliper was back"`
		Lamp bool `fact:"lamp_off" says:"its lamp was off then"`
	}

	HoldingFacts struct {
		Done  bool `fact:"done" says:"tried after the last work on it"`
		Holds bool `fact:"holds" says:"it held the vehicle"`
	}

	RoadFacts struct {
		Done    bool    `fact:"done" says:"driven after all other work"`
		Checked bool    `fact:"checked" says:"held under pressure and the pedal tried before, since the last work on the hydraulics"`
		Km      float64 `fact:"km" unit:"km" says:"how far"`
	}

	SecondFacts struct {
		Wanted bool `fact:"wanted" says:"somebody did not do all the work alone who had the duty second check when others did it, or has it when the vehicle is handed back"`
		Done   bool `fact:"done" says:"such a person found another’s work right, after the last work on the brakes"`

		Alone   bool    `fact:"alone" says:"the shop had one person when the last work on the brakes was done, or has one when the vehicle is handed back"`
		Again   bool    `fact:"again" says:"that person looked again after it, by hand, with a photograph that no other entry has, and nobody else was on the register meanwhile"`
		Minutes float64 `fact:"minutes" unit:"min" says:"how long after it at least, by a clock that nobody can set"`
	}
)
