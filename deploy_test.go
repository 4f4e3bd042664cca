package levelpeg_test

import (
	"os"
	"regexp"
	"strings"
	"testing"
)

func read(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// What is installed is built by the toolchain that the checks use, and whole.
func TestOneToolchain(t *testing.T) {
	t.Parallel()
	toolchain := regexp.MustCompile(`GOTOOLCHAIN := (\S+)`).FindStringSubmatch(read(t, "Makefile"))
	if toolchain == nil {
		t.Fatal("the Makefile names no toolchain")
	}
	for _, path := range []string{"deploy/make-deb", "deploy/docker/Dockerfile"} {
		if !strings.Contains(read(t, path), toolchain[1]) {
			t.Errorf("%s does not build with %s", path, toolchain[1])
		}
		if !strings.Contains(read(t, path), "go run ./cmd/phone/pack") {
			t.Errorf("%s builds a server that has no program for the phone", path)
		}
	}
}

// What the service must have, each found necessary by trying.
func TestTheServiceIsAsItMustBe(t *testing.T) {
	t.Parallel()
	unit := read(t, "deploy/package/levelpeg.service")
	for _, line := range []string{
		"User=levelpeg", "KillMode=mixed", "Restart=always", "TimeoutStopSec=60", "OOMPolicy=continue",
		"ProtectSystem=strict", "NoNewPrivileges=yes", "PrivateTmp=yes", "Environment=LEVELPEG_LINKS=false",
	} {
		if !strings.Contains(unit, "\n"+line+"\n") {
			t.Errorf("the unit does not say %s", line)
		}
	}
	if strings.Contains(read(t, "deploy/package/postinst"), "enable --now levelpeg-backup.timer") {
		t.Error("the package has the private database backed up twice a night")
	}
	if !strings.Contains(read(t, "deploy/package/nfpm.yaml"), "interest_noawait:\n      - /usr/lib/postgresql\n") {
		t.Error("the package does not hear of changes of PostgreSQL")
	}
	if !strings.Contains(read(t, "deploy/proxy/nginx.conf"), "proxy_set_header Host $http_host;") {
		t.Error("the example of a proxy does not keep Host")
	}
}
