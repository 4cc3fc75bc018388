module peers

go 1.26.0

require (
	github.com/Rhymond/go-money v1.0.15
	github.com/shopspring/decimal v1.6.0
	lotcost v0.0.0
)

require (
	go.yaml.in/yaml/v3 v3.0.6 // indirect
	golang.org/x/text v0.44.0 // indirect
)

replace lotcost => ../..
