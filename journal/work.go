package journal

// Work returns what an entry about the brakes is called in a sentence, such as
// "road test"; "" of a kind that neither works on brakes nor checks them.
func (k Kind) Work() string {
	switch k {
	case PartRemoved:
		return "removal"
	case PartRefitted:
		return "refitting"
	case WasherReplaced:
		return "new washers"
	case LineOpened:
		return "opening of the line"
	case LineConnected:
		return "closing of the line"
	case TorqueApplied:
		return "tightening"
	case BleedDone:
		return "bleeding"
	case ParkbrakeServiced:
		return "parking brake service"
	case ParkbrakeTried:
		return "parking brake trial"
	case LeakChecked:
		return "leak check"
	case PedalChecked:
		return "pedal check"
	case WheelFitted:
		return "fitting of the wheel"
	case RoadTested:
		return "road test"
	}
	return ""
}
