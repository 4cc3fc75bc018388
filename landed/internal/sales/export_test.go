package sales

import "lotcost/landed"

// Order is the order of an item's sales by date.
func (s *Seller) Order(sales []landed.Sale) []int { return s.order(sales) }

// TakeSold takes the pieces of a sale.
var TakeSold = take
