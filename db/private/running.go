package private

// RunningURL is the address of the PostgreSQL in a folder that another program, such as
// a server of ours, runs now: Start fails with ErrInUse for it. dir is as in Config.
func RunningURL(dir string) (string, error) {
	var p places
	if err := p.resolve(dir); err != nil {
		return "", err
	}
	return p.url(appName, appName), nil
}
