package feeds_test

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"
	"time"

	"levelpeg/club"
	"levelpeg/feeds"
)

// TestEASample: the station of the open sample has one measure, an object, with its
// latest reading in it. Source of the figures: the sample itself.
func TestEASample(t *testing.T) {
	t.Parallel()
	levels, left, problem := parsed(metresFeed(club.EnvironmentAgency), openData(t, "sample_ea_station_4115.json"))
	if problem != "" || left != "" || len(levels) != 1 {
		t.Fatalf("%v, left %q, problem %q", levels, left, problem)
	}
	if got := levels[0]; got.LevelM != 0.308 || !got.At.Equal(time.Date(2020, 3, 22, 18, 0, 0, 0, time.UTC)) || got.Source != club.Station {
		t.Errorf("%+v", got)
	}
}

// TestWaterMLSample: the open sample is of a discharge, so a feed of levels takes none of
// it; of its points one has metadata only.
func TestWaterMLSample(t *testing.T) {
	t.Parallel()
	doc := openData(t, "sample_waterml2_usgs_01646500.xml")
	if levels, _, problem := parsed(metresFeed(club.WaterML2), doc); len(levels) > 0 || !strings.Contains(problem, "no level") {
		t.Errorf("a discharge gave %d levels, %q", len(levels), problem)
	}
	b, err := feeds.ParseWaterML2(strings.NewReader(doc), feeds.DefaultLimits())
	if err != nil || len(b.Series) != 1 {
		t.Fatalf("%+v, %v", b, err)
	}
	points := strings.Count(doc, "<wml2:MeasurementTVP>")
	if got := len(b.Series[0].Points) + b.Bad + b.None; got != points || points == 0 {
		t.Errorf("%d of %d points counted", got, points)
	}
	t.Logf("%d points, %d with a value, %d without, %d bad (%s)", points, len(b.Series[0].Points), b.None, b.Bad, b.Why)
	// The same said to be a height, with whole times, is a feed of levels.
	doc = strings.NewReplacer(`"Discharge"`, `"Gage height"`, `"ft3/s"`, `"ft"`, `</wml2:time>`, `T12:00:00Z</wml2:time>`).Replace(doc)
	doc = sampleValue.ReplaceAllString(doc, "<wml2:value>3.1</wml2:value>")
	f := metresFeed(club.WaterML2)
	f.Unit = club.Feet
	levels, left, problem := parsed(f, doc)
	if len(levels) != points-1 || left != "" || problem != "" || levels[0].LevelM != 0.945 { // 3.1 · 0.3048
		t.Errorf("as a height: %v, left %q, problem %q", levels, left, problem)
	}
}

var sampleValue = regexp.MustCompile(`<wml2:value>[^<]+</wml2:value>`)

// TestCSVSample reads a real station's table: feet, with zones in its times. Source of
// the figures: the file's own rows.
func TestCSVSample(t *testing.T) {
	t.Parallel()
	f := metresFeed(club.CSVFeed)
	f.Unit, f.Plan.Time, f.Plan.Level = club.Feet, "datetime", "gage_height_ft"
	levels, left, problem := parsed(f, openData(t, "usgs_08068500_iv_2011-11.csv"))
	if problem != "" || left != "" || len(levels) != 1253 {
		t.Fatalf("%d levels, left %q, problem %q", len(levels), left, problem)
	}
	if got := levels[0]; math.Abs(got.LevelM-1.11*0.3048) > 0.0005 || !got.At.Equal(time.Date(2011, 11, 5, 5, 0, 0, 0, time.UTC)) {
		t.Errorf("%+v", got)
	}
	g, err := feeds.GuessCSV(strings.NewReader(openData(t, "usgs_08068500_iv_2011-11.csv")))
	if err != nil || g.Plan.Time != "1" || g.Plan.Level != "2" || g.Unit != club.Feet || g.Plan.Layout != club.TimeISO {
		t.Errorf("guessed %+v, %v", g, err)
	}
}

const eaReading = `{"measure": "http://x/id/measures/1-level-stage-i-15_min-m", "dateTime": "2026-11-05T%s:00Z", "value": %s}`

func eaReadings(readings ...string) string { return `{"items": [` + strings.Join(readings, ",") + `]}` }

func wml(points string) string {
	return `<?xml version="1.0"?><Collection xmlns="http://www.opengis.net/waterml/2.0"><observationMember><OM_Observation>` +
		`<observedProperty title="Gage height"/><result><MeasurementTimeseries><defaultPointMetadata><uom code="m"/></defaultPointMetadata>` + points +
		`</MeasurementTimeseries></result></OM_Observation></observationMember></Collection>`
}

func tvp(at, inside string) string {
	return "<point><MeasurementTVP><time>" + at + "</time>" + inside + "</MeasurementTVP></point>"
}

// TestDocuments: each document ends in good levels or in a sentence. Derived: the
// documents are made up after the formats' own descriptions.
func TestDocuments(t *testing.T) {
	t.Parallel()
	const station = `"parameter": "level", "unitName": "mASD", "latestReading": {"dateTime": "2026-11-05T14:00:00Z", "value": 0.5}`
	docs := []struct {
		name   string
		format club.FeedFormat
		doc    string
		levels int
		says   string // of what was left out, or of the problem
	}{
		{"readings", club.EnvironmentAgency, eaReadings(fmt.Sprintf(eaReading, "14:00", "0.5"), fmt.Sprintf(eaReading, "14:15", "0.51")), 2, ""},
		{"a value in an array", club.EnvironmentAgency, eaReadings(fmt.Sprintf(eaReading, "14:00", "[0.5, 0.5]")), 1, ""},
		{"two values at once", club.EnvironmentAgency, eaReadings(fmt.Sprintf(eaReading, "14:00", "[0.5, 0.7]"), fmt.Sprintf(eaReading, "14:15", "0.5")), 1, "not one number"},
		{"a measure as object", club.EnvironmentAgency, `{"items": {"measures": {"@id": "a", ` + station + `}}}`, 1, ""},
		{"measures as array", club.EnvironmentAgency, `{"items": {"measures": [{"@id": "a", ` + station + `}, {"@id": "b", "parameter": "flow", "unitName": "m3/s", "latestReading": {"dateTime": "2026-11-05T14:00:00Z", "value": 9}}]}}`, 1, ""},
		{"two levels", club.EnvironmentAgency, `{"items": {"measures": [{"@id": "a", ` + station + `}, {"@id": "b", ` + station + `}]}}`, 0, "2 measurements"},
		{"latest missing", club.EnvironmentAgency, `{"items": {"measures": {"@id": "a", "parameter": "level", "unitName": "m"}}}`, 0, ""},
		{"no zone", club.EnvironmentAgency, `{"items": [{"measure": "a", "dateTime": "2026-11-05T14:00:00", "value": 1}]}`, 0, "no zone"},
		{"fill", club.EnvironmentAgency, eaReadings(fmt.Sprintf(eaReading, "14:00", "-999999"), fmt.Sprintf(eaReading, "14:15", "1")), 1, ""},
		{"null", club.EnvironmentAgency, eaReadings(fmt.Sprintf(eaReading, "14:00", "null"), fmt.Sprintf(eaReading, "14:15", "1")), 1, ""},
		{"no items", club.EnvironmentAgency, `{"a": 1}`, 0, "no items"},
		{"half", club.EnvironmentAgency, `{"items": [{"value": 1`, 0, "ends in the middle"},
		{"a page", club.EnvironmentAgency, `<html>no</html>`, 0, "is not the Environment Agency"},
		{"empty", club.EnvironmentAgency, ``, 0, "ends in the middle"},
		{"deep", club.EnvironmentAgency, `{"items":` + strings.Repeat("[", 20000), 0, "broken"},
		{"not yet", club.EnvironmentAgency, eaReadings(fmt.Sprintf(eaReading, "23:00", "1"), fmt.Sprintf(eaReading, "14:00", "1")), 1, "not come yet"},
		{"no board reads that", club.EnvironmentAgency, eaReadings(fmt.Sprintf(eaReading, "14:00", "1e9"), fmt.Sprintf(eaReading, "14:15", "1")), 1, "no level that a board reads"},
		{"huge number", club.EnvironmentAgency, eaReadings(fmt.Sprintf(eaReading, "14:00", "1e999"), fmt.Sprintf(eaReading, "14:15", "1")), 1, "not one number"},

		{"points", club.WaterML2, wml(tvp("2026-11-05T14:00:00Z", "<value>0.5</value>") + tvp("2026-11-05T14:15:00+00:00", "<value>0.6</value>")), 2, ""},
		{"metadata only", club.WaterML2, wml(tvp("2026-11-05T14:00:00Z", "<metadata><TVPMeasurementMetadata><nilReason>x</nilReason></TVPMeasurementMetadata></metadata>") + tvp("2026-11-05T14:15:00Z", "<value>1</value>")), 1, ""},
		{"nil", club.WaterML2, wml(tvp("2026-11-05T14:00:00Z", `<value xmlns:i="http://www.w3.org/2001/XMLSchema-instance" i:nil="true"/>`) + tvp("2026-11-05T14:15:00Z", "<value>1</value>")), 1, ""},
		{"fill", club.WaterML2, wml(tvp("2026-11-05T14:00:00Z", "<value>-999999</value>") + tvp("2026-11-05T14:15:00Z", "<value>1</value>")), 1, ""},
		{"no zone", club.WaterML2, wml(tvp("2026-11-05T14:00:00", "<value>1</value>")), 0, "no zone"},
		{"half", club.WaterML2, wml(tvp("2026-11-05T14:00:00Z", "<value>1</value>"))[:260], 0, "middle"},
		{"1.1", club.WaterML2, `<timeSeriesResponse xmlns="http://www.cuahsi.org/waterML/1.1/"/>`, 0, "WaterML 1.1"},
		{"another XML", club.WaterML2, `<a/>`, 0, "is not WaterML 2.0"},
		{"entity", club.WaterML2, `<!DOCTYPE a [<!ENTITY b "c">]><Collection>&b;</Collection>`, 0, "broken"},
		{"a JSON", club.WaterML2, `{"items": []}`, 0, "is not WaterML 2.0"},

		{"observations", club.SensorThings, `{"value": [{"phenomenonTime": "2026-11-05T14:00:00Z", "result": 1.5}, {"phenomenonTime": "2026-11-05T13:45:00Z/2026-11-05T14:00:01Z", "result": "1.6"}]}`, 2, ""},
		{"metadata only", club.SensorThings, `{"value": [{"@iot.id": 1}, {"phenomenonTime": "2026-11-05T14:00:00Z", "result": 1.5}]}`, 1, ""},
		{"an object for a list", club.SensorThings, `{"value": {"phenomenonTime": "2026-11-05T14:00:00Z", "result": 1.5}}`, 1, ""},
		{"fill", club.SensorThings, `{"value": [{"phenomenonTime": "2026-11-05T14:00:00Z", "result": -999999}, {"phenomenonTime": "2026-11-05T14:00:00Z", "result": 1}]}`, 1, ""},
		{"no zone", club.SensorThings, `{"value": [{"phenomenonTime": "2026-11-05T14:00:00", "result": 1}]}`, 0, "no zone"},
		{"a list of streams", club.SensorThings, `{"value": [{"name": "x", "unitOfMeasurement": {"symbol": "m"}}]}`, 0, "/Observations"},
		{"another unit", club.SensorThings, `{"unitOfMeasurement": {"symbol": "ft"}, "Observations": [{"phenomenonTime": "2026-11-05T14:00:00Z", "result": 1}]}`, 0, "set to m"},
		{"a flow", club.SensorThings, `{"unitOfMeasurement": {"symbol": "m3/s"}, "Observations": [{"phenomenonTime": "2026-11-05T14:00:00Z", "result": 1}]}`, 0, "no level"},
		{"half", club.SensorThings, `{"value": [{"phenomenonTime": "2026-11-05T14:00:00Z", "res`, 0, "ends in the middle"},
		{"null", club.SensorThings, `null`, 0, "is not SensorThings"},

		{"table", club.CSVFeed, "time,level\n2026-11-05T14:00:00Z,1.5\n2026-11-05 14:15,1.6\n", 2, ""},
		{"fill", club.CSVFeed, "2026-11-05T14:00Z,-999999\n2026-11-05 14:15,1.6\n", 1, ""},
		{"bad row", club.CSVFeed, "2026-11-05T14:00Z,high\n2026-11-05 14:15,1.6\n", 1, "not a number"},
		{"a page", club.CSVFeed, "<!doctype html>\n<p>no</p>\n", 0, "web page"},
		{"bytes", club.CSVFeed, "\x00\x01\x02", 0, "not plain text"},
		{"empty", club.CSVFeed, "", 0, "empty"},
		{"no such column", club.CSVFeed, "2026-11-05T14:00Z\n", 0, "no column 2"},
	}
	for _, d := range docs {
		t.Run(string(d.format)+" "+d.name, func(t *testing.T) {
			levels, left, problem := parsed(metresFeed(d.format), d.doc)
			if len(levels) != d.levels {
				t.Errorf("%d levels, want %d: left %q, problem %q", len(levels), d.levels, left, problem)
			}
			if says := left + problem; !strings.Contains(says, d.says) || d.says == "" && says != "" {
				t.Errorf("says %q, want %q", says, d.says)
			}
		})
	}
}

// TestNothingOfADocumentIsSaid: whatever stands in a document, no sentence repeats it.
func TestNothingOfADocumentIsSaid(t *testing.T) {
	t.Parallel()
	const secret = "hunter2"
	for _, f := range club.FeedFormats() {
		for _, doc := range []string{secret, `{"` + secret + `": 1}`, `{"items": [{"dateTime": "` + secret + `", "value": 1}]}`, `{"items": "` + secret + `"}`,
			`<` + secret + `/>`, wml(tvp(secret, "<value>"+secret+"</value>")), `{"value": [{"phenomenonTime": "` + secret + `", "result": "` + secret + `"}]}`,
			secret + "," + secret + "\n1," + secret + "\n", `{"unitOfMeasurement": {"symbol": "` + secret + `"}, "Observations": [{"phenomenonTime": "2026-11-05T14:00:00Z", "result": 1}]}`} {
			_, left, problem := parsed(metresFeed(club.FeedFormat(f[0])), doc)
			if strings.Contains(left+problem, secret) {
				t.Errorf("%s of %.60s says %q %q", f[0], doc, left, problem)
			}
		}
	}
}

// FuzzDocuments: no document makes a reader panic, or gives what no board reads.
func FuzzDocuments(f *testing.F) {
	f.Add("ea", eaReadings(fmt.Sprintf(eaReading, "14:00", "0.5")))
	f.Add("waterml2", wml(tvp("2026-11-05T14:00:00Z", "<value>0.5</value>")))
	f.Add("sensorthings", `{"value": [{"phenomenonTime": "2026-11-05T14:00:00Z", "result": 1.5}]}`)
	f.Add("csv", "2026-11-05T14:00Z,1\n")
	f.Fuzz(func(t *testing.T, format, doc string) {
		levels, _, _ := parsed(metresFeed(club.FeedFormat(format)), doc)
		for _, l := range levels {
			if !(l.LevelM >= club.MinLevelM && l.LevelM <= club.MaxLevelM) || l.At.IsZero() {
				t.Errorf("%+v", l)
			}
		}
	})
}
