// Package measure counts what the server does, in the form that Prometheus reads.
// Nothing in it names a person, an address somebody typed, or what they wrote.
package measure

import (
	"net/http"
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// Measures are a server's counts. A nil one counts nothing.
type Measures struct {
	registry *prometheus.Registry
	requests *prometheus.CounterVec
	took     *prometheus.HistogramVec
	underWay prometheus.Gauge
	entries  *prometheus.CounterVec
}

// What became of an entry that was sent.
const (
	TakenIn  = "taken in"
	Repeated = "repeated"
	Mended   = "mended" // it needed mending, and came changed
	NotTaken = "not taken"
)

// buckets of a request's time, in seconds: a sheet takes a few milliseconds, and a
// request is given up well before the last.
var buckets = []float64{.002, .005, .01, .02, .05, .1, .2, .5, 1, 2, 5, 10, 30}

// New makes measures of what the server counts itself and of what source tells when it
// is asked.
func New(source Source) *Measures {
	m := &Measures{
		registry: prometheus.NewRegistry(),
		requests: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "levelpeg_requests_total",
			Help: "Requests answered, by the route's pattern."}, []string{"route", "method", "status"}),
		took: prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "levelpeg_request_seconds",
			Help: "Time from a request's head to the end of its answer.", Buckets: buckets}, []string{"route"}),
		underWay: prometheus.NewGauge(prometheus.GaugeOpts{Name: "levelpeg_requests_under_way", Help: "Requests being answered."}),
		entries: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "levelpeg_entries_total",
			Help: "Entries that members sent: taken in, repeated (sent before), mended, or not taken."}, []string{"outcome"}),
	}
	for _, outcome := range []string{TakenIn, Repeated, Mended, NotTaken} {
		m.entries.WithLabelValues(outcome)
	}
	m.registry.MustRegister(m.requests, m.took, m.underWay, m.entries, newAsked(source),
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}), collectors.NewBuildInfoCollector())
	return m
}

// How much asking at once is let through, and how long it may take.
const (
	askedAtOnce = 2
	askedWithin = 5 * time.Second
)

// Handler answers with everything measured.
func (m *Measures) Handler() http.Handler {
	return promhttp.HandlerFor(m.registry, promhttp.HandlerOpts{Registry: m.registry, MaxRequestsInFlight: askedAtOnce, Timeout: askedWithin})
}

// Begin says that a request is being answered.
func (m *Measures) Begin() {
	if m != nil {
		m.underWay.Inc()
	}
}

// methods are those that are told apart; whatever else somebody sends is one.
var methods = map[string]string{http.MethodGet: "GET", http.MethodHead: "HEAD", http.MethodPost: "POST"}

// End says how a request ended. An empty route is none of ours; a status of 0 is one
// that was given up.
func (m *Measures) End(route, method string, status int, took time.Duration) {
	if m == nil {
		return
	}
	m.underWay.Dec()
	if route == "" {
		route = "none"
	}
	word, ok := methods[method]
	if !ok {
		word = "other"
	}
	m.requests.WithLabelValues(route, word, strconv.Itoa(status)).Inc()
	m.took.WithLabelValues(route).Observe(took.Seconds())
}

// Entry says what became of an entry.
func (m *Measures) Entry(outcome string) {
	if m != nil {
		m.entries.WithLabelValues(outcome).Inc()
	}
}
