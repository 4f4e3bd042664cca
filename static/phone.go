package static

// PhoneRelease names the program of the phone and the files it stands with; empty where
// the program was not built.
func PhoneRelease() string { return "" }
