// Package e2e tests the whole program: the built binary, its own PostgreSQL and a
// real browser. It needs Chromium, PostgreSQL's programs and Java, and what `npm ci`
// in this folder brings (axe-core and vnu-jar); where one is missing its tests skip
// aloud, and fail when CI=true.
//
//	go test ./e2e                                 everything, ten rounds of killing
//	LEVELPEG_LONG=1 go test ./e2e -timeout 60m    a hundred rounds
//	LEVELPEG_SHOTS=dir go test ./e2e -run Shots   only pictures of the pages, into dir
package e2e
