package parse

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"levelpeg/club"
)

// LabelsUsual is how many labels a page has where nobody says.
const LabelsUsual = 8

// LabelsPer is how many labels a page may have.
func LabelsPer() []int { return []int{2, 4, 8, 12, 21, 24} }

// Labels is how many labels are asked for on a page.
func Labels(q url.Values) (int, error) {
	asked := strings.TrimSpace(q.Get("per"))
	if asked == "" {
		return LabelsUsual, nil
	}
	n, err := strconv.Atoi(asked)
	if err != nil || !slices.Contains(LabelsPer(), n) {
		return 0, club.Faultf(club.Invalid, "A page of labels has 2, 4, 8, 12, 21 or 24 of them.")
	}
	return n, nil
}
