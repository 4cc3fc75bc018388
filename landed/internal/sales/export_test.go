package sales

// TakeSold takes the pieces of a sale.
var TakeSold = take
