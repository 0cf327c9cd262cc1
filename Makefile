# Two targets matter to a newcomer: `make demo` and `make test`.
# Each installs what it needs; everything else is built by the Go toolchain
# from pinned modules.

SHELL := /bin/bash
.DEFAULT_GOAL := help
.PHONY: help build demo test vet unit sim faults bench reports runtime axe licences fuzz chromium clean

BIN := bin/tamis
DEMOS := pollack chicken carrot trout
LIVE := internal/figure/live
AXE := internal/report/browsertest/axe
NPM_CI := npm ci --ignore-scripts --no-audit --no-fund --silent

help: ## this list
	@grep -E '^[a-z]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 12

build: ## build bin/tamis
	go build -trimpath -o $(BIN) ./cmd/tamis

demo: runtime build ## build, and write the reports of the demo trials to out/
	@mkdir -p out
	@for d in $(DEMOS); do \
	  $(BIN) report --all --draft --out out trials/$$d/$$d.yaml || exit 1; \
	done
	@$(BIN) report --index out
	@echo "Open out/index.html in a browser."

test: chromium runtime axe vet unit ## vet, staticcheck, and every test but the long simulations

vet:
	test -z "$$(gofmt -l cmd internal)" || { gofmt -l cmd internal; exit 1; }
	go vet ./...
	go tool staticcheck ./...

unit:
	go test -short -timeout 10m ./...

sim: ## the long simulations, held against their tables
	go test -run 'Sim|Coverage' -timeout 80m -v ./internal/stats/sim ./internal/stats/curve ./internal/texture -args -sim

faults: ## plant faults and draw fair trials, and hold what is found against the table
	go test -run TestFaultsTable -timeout 40m -v ./internal/fairness/faults -args -faults $(if $(UPDATE),-update)

bench: ## benchmarks
	go test -run '^$$' -bench . -benchmem ./internal/...

reports: build ## write reports/ again, byte for byte, and the schema that the demo trials name
	@mkdir -p reports
	@for d in $(DEMOS); do \
	  $(BIN) report --all --draft --static --out reports trials/$$d/$$d.yaml || exit 1; \
	done
	$(BIN) report --index reports
	$(BIN) schema trial > trials/trial.schema.json

# The chart runtime is embedded where it was built; without it pages are static.
runtime: ## build the runtime of the live charts, where npm is there
	@if ! command -v npm >/dev/null 2>&1; then \
	  echo "npm is not installed: the figures of pages will be static"; \
	else \
	  $(MAKE) --no-print-directory $(LIVE)/runtime/echarts.js || \
	  echo "npm could not build the chart runtime: the figures of pages will be static"; \
	fi

$(LIVE)/runtime/echarts.js: $(LIVE)/web/package-lock.json $(LIVE)/web/entry.js $(LIVE)/web/build.sh
	@cd $(LIVE)/web && $(NPM_CI)
	@$(LIVE)/web/build.sh ../runtime

# The tests of the pages say what they leave out where there is no npm.
axe:
	@if command -v npm >/dev/null 2>&1; then $(MAKE) --no-print-directory $(AXE)/node_modules/axe-core/axe.min.js; fi

$(AXE)/node_modules/axe-core/axe.min.js: $(AXE)/package-lock.json
	@cd $(AXE) && $(NPM_CI) && touch node_modules/axe-core/axe.min.js

licences: ## collect the licence texts of the modules that are linked
	@mkdir -p bin
	go run ./internal/cli/licences/collect > $(BIN).licences && mv $(BIN).licences internal/cli/licences/modules.txt

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
	rm -rf bin out $(LIVE)/web/node_modules $(AXE)/node_modules
	rm -f $(LIVE)/runtime/echarts.js $(LIVE)/runtime/licences.txt
