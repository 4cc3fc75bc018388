// Command many-hauls prices hauls on a cluster: see README.md.
package main

import (
	"context"
	"flag"
	"fmt"
	"os"

	"lotcost/examples/many-hauls/pipeline"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/x/beamx"
)

func main() {
	o := pipeline.Options{}
	flag.StringVar(&o.In, "in", "", "the files with a haul in JSON on each line, a `PATTERN` such as hauls-*.ndjson.gz")
	flag.StringVar(&o.Out, "out", "", "the `PLACE` before the names of what is written, such as answers/")
	flag.IntVar(&o.Parts, "parts", 16, "into how many files the statements go, a `NUMBER`")
	flag.Parse()
	beam.Init()
	if err := run(o); err != nil {
		fmt.Fprintln(os.Stderr, "error: "+err.Error())
		os.Exit(1)
	}
}

func run(o pipeline.Options) error {
	p, err := pipeline.New(o)
	if err != nil {
		return err
	}
	result, err := beamx.RunWithMetrics(context.Background(), p)
	if err != nil {
		return err
	}
	counts := pipeline.Counted(result)
	fmt.Fprintf(os.Stderr, "%d hauls priced, %d with errors\n", counts.Priced, counts.Wrong)
	return nil
}
