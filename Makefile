# Two targets matter to a newcomer: `make demo` and `make test`.
# Each installs what it needs; everything else is built by the Go toolchain
# from pinned modules.

SHELL := /bin/bash
.DEFAULT_GOAL := help
.PHONY: help build demo test vet unit browser sim bench reports fuzz chromium clean

BIN := bin/tamis
DEMOS := pollack chicken carrot trout

help: ## this list
	@grep -E '^[a-z]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 12

build: ## build bin/tamis
	go build -trimpath -o $(BIN) ./cmd/tamis

demo: build ## build, and write the reports of the demo trials to out/
	@mkdir -p out
	@for d in $(DEMOS); do \
	  $(BIN) report --for kitchen --out out/$$d-kitchen.html trials/$$d/$$d.yaml || exit 1; \
	done
	@echo "Open out/pollack-kitchen.html in a browser."

test: chromium vet unit ## vet, staticcheck, and every test but the long simulations

vet:
	test -z "$$(gofmt -l cmd internal)" || { gofmt -l cmd internal; exit 1; }
	go vet ./...
	go tool staticcheck ./...

unit:
	go test -short -timeout 10m ./...

sim: ## the long simulations, held against their tables
	go test -run 'Sim|Coverage' -timeout 80m -v ./internal/stats/sim ./internal/stats/curve ./internal/texture -args -sim

bench: ## benchmarks
	go test -run '^$$' -bench . -benchmem ./internal/...

reports: build ## write reports/ again, byte for byte, and the schema that the demo trials name
	@mkdir -p reports
	@for d in $(DEMOS); do \
	  $(BIN) report --for kitchen --out reports/$$d-kitchen.html trials/$$d/$$d.yaml || exit 1; \
	done
	$(BIN) schema trial > trials/trial.schema.json

fuzz: ## run the loader's fuzz target for a minute
	go test -run '^$$' -fuzz FuzzRead -fuzztime 60s ./internal/trialfile

# The browser tests drive Debian's Chromium.
chromium:
	@command -v chromium >/dev/null 2>&1 || { \
	  echo "installing chromium (Debian package)"; \
	  sudo=; [ "$$(id -u)" = 0 ] || sudo=sudo; \
	  $$sudo apt-get update -qq && \
	  DEBIAN_FRONTEND=noninteractive $$sudo apt-get install -y -qq --no-install-recommends chromium fonts-liberation >/dev/null; }

clean: ## remove what was built
	rm -rf bin out
