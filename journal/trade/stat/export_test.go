package stat

// PartsToSignal is how many parts pass on average from 0 to the alarm at a rate, by which a
// chart says what it would have found.
func (c CUSUM) PartsToSignal(rate float64) (float64, error) {
	if err := c.check(); err != nil {
		return 0, err
	}
	return c.partsToSignal(rate), checkChance("rate", rate)
}
