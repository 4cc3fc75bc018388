package sales

import "lotcost/landed"

// Order is the order of an item's sales by date.
func (s *Seller) Order(sales []landed.Sale) []int { return s.order(sales) }
