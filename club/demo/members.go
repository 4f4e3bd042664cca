package demo

import "levelpeg/club"

// The invented people. A junior has a first name only, and no sounding says where
// one was.
const (
	ruth   = "Ruth P."
	alan   = "Alan K."
	dilys  = "Dilys T."
	graham = "Graham W."
	priya  = "Priya S."
	joe    = "Joe H."
	marta  = "Marta L."
	ellie  = "Ellie"
)

func members() []club.Member {
	return []club.Member{
		{Name: ruth, Role: club.Secretary},
		{Name: alan, Role: club.Bailiff},
		{Name: dilys, Role: club.Bailiff},
		{Name: graham, Role: club.Coach},
		{Name: priya, Role: club.Angler},
		{Name: joe, Role: club.Angler},
		{Name: marta, Role: club.Angler},
		{Name: ellie, Role: club.Junior},
	}
}
