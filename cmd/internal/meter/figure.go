package meter

import "github.com/prometheus/client_golang/prometheus"

// Figure is something that is counted or measured. Its name never changes its meaning.
type Figure struct {
	Name  string // with its unit at the end
	Help  string // one sentence
	Total bool   // it only grows, from the start of the program on
	Of    []string
}

// Reading is one value of a figure, of the things that [Figure.Of] names.
type Reading struct {
	Figure *Figure
	Value  float64
	Of     []string
}

// At is a reading of the figure.
func (f *Figure) At(value float64, of ...string) Reading {
	return Reading{Figure: f, Value: value, Of: of}
}

// Is is a reading of something that is so, 1, or is not, 0.
func (f *Figure) Is(so bool, of ...string) Reading {
	if so {
		return f.At(1, of...)
	}
	return f.At(0, of...)
}

// readings are what was read at one moment.
type readings []Reading

var _ prometheus.Collector = readings(nil)

// Describe implements [prometheus.Collector]. Which figures there are depends on the machine.
func (readings) Describe(chan<- *prometheus.Desc) {}

// Collect implements [prometheus.Collector].
func (l readings) Collect(out chan<- prometheus.Metric) {
	for _, r := range l {
		desc, sort := prometheus.NewDesc(r.Figure.Name, r.Figure.Help, r.Figure.Of, nil), prometheus.GaugeValue
		if r.Figure.Total {
			sort = prometheus.CounterValue
		}
		m, err := prometheus.NewConstMetric(desc, sort, r.Value, r.Of...)
		if err != nil {
			m = prometheus.NewInvalidMetric(desc, err)
		}
		out <- m
	}
}
