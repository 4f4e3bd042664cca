# The toolchain is fetched by Go itself: releases before it have known holes in the standard library.
export GOTOOLCHAIN := go1.27.3+auto
export CGO_ENABLED ?= 0

LISTEN ?= 127.0.0.1:8080
TOOL := go tool -modfile=tools.mod

.PHONY: run build phone test long lint bench siege load deb generate schema vuln

run: ## serve the demo club on the private PostgreSQL
	@sh deploy/need-postgres
	@$(MAKE) --no-print-directory build
	@exec build/levelpeg serve --demo --listen $(LISTEN)

build: phone ## one binary, build/levelpeg
	@mkdir -p build
	go build -trimpath -o build/levelpeg ./cmd/levelpeg

phone: ## the phone's program, compressed, for the server to serve: a minute where anything of it has changed
	go run ./cmd/phone/pack

test: phone ## unit, database and browser tests, fixed seeds
	RAPID_SEED=1 go test -count=1 -timeout 8m ./...

long: phone ## the same with full counts of everything random or repeated, and a quarter of an hour of fuzzing
	LEVELPEG_LONG=1 RAPID_CHECKS=1000 go test -count=1 -timeout 80m -v ./...
	@sh deploy/fuzz-all 600 ./rig
	@sh deploy/fuzz-all 300 ./hydro
	@sh deploy/fuzz-all 60 ./cmd/levelpeg
	@sh deploy/fuzz-all 60 ./club
	@sh deploy/fuzz-all 60 ./handlers/parse

lint: ## vet, staticcheck, formatting, generated code current
	go vet ./...
	$(TOOL) staticcheck ./...
	@sh deploy/generated-current

bench: build ## requests a second of a sheet beside a static page, and the sums' own benchmarks
	@sh deploy/need-postgres
	go run ./e2e/bench -binary build/levelpeg
	go test -run '^$$' -bench . -benchmem ./hydro ./rig

siege: build ## what members notice of slow clients, idle ones, endless bodies and queries that hang
	@sh deploy/need-postgres
	go run ./e2e/siege -binary build/levelpeg

load: build ## a federation's book, filled in two minutes, read by 64 connections while entries are written
	@sh deploy/need-postgres
	go run ./e2e/load -binary build/levelpeg

generate: ## pages from their templ files
	go tool templ generate -path web

schema: ## write the dump of the schema anew
	LEVELPEG_UPDATE=1 go test -count=1 -run Schema ./migrations

vuln: ## known vulnerabilities, from the database in the module cache
	go mod download -modfile=tools.mod golang.org/x/vulndb
	$(TOOL) indexdb -vulns "$$(go env GOMODCACHE)/$$(go list -modfile=tools.mod -m -f '{{.Path}}@{{.Version}}' golang.org/x/vulndb)/data/osv" -out build/vuln
	$(TOOL) govulncheck -db "file://$(CURDIR)/build/vuln" ./...

deb: ## the Debian package, in build/deb; deploy/try-deb tries it in a folder
	@sh deploy/make-deb
