package landed_test

import (
	"testing"

	"lotcost/landed"
)

// TestFeesOfAParcel: what a forwarder asks is shared as fees are.
func TestFeesOfAParcel(t *testing.T) {
	h := crates()
	h.Charges = nil
	h.Parcels = []landed.Parcel{{ID: "box-1", Lots: []string{"crate-a", "crate-b"}, Carriage: landed.Carriage{Fees: amount("6 CAD")}}}
	st := split(t, h)
	if st.Sum(landed.Fee) != amount("6 CAD") || st.Items[2].Share(landed.Fee) != amount("3 CAD") { // 3 of 6 pieces
		t.Errorf("fees %v, of them %v on the last item", st.Sum(landed.Fee), st.Items[2].Share(landed.Fee))
	}
}
