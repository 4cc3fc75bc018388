package scrub

import "strings"

// bySign are the codes of the currencies that have a sign of their own, by CLDR's narrow signs as
// golang.org/x/text/currency has them, whose tables every start of the command would unpack: a line
// for each sign, a currency without decimals before others.
const bySign = `
$ CLP ARS AUD BBD BMD BND BSD BZD CAD COP CUP DOP FJD GYD HKD JMD KYD LRD MXN NAD NZD SBD SGD SRD TTD TWD USD UYU XCD
FG GNF
kr ISK DKK NOK SEK
¥ JPY CNY
CF KMF
₩ KRW KPW
₲ PYG
RF RWF
₫ VND
Kz AOA
KM BAM
৳ BDT
Bs BOB
R$ BRL
P BWP
р. BYN
₡ CRC
Kč CZK
E£ EGP
€ EUR
£ FKP GBP GIP SHP SSP SYP
₾ GEL
Q GTQ
L HNL
kn HRK
Ft HUF
Rp IDR
₪ ILS
₹ INR
៛ KHR
₸ KZT
₭ LAK
L£ LBP
Rs LKR MUR NPR PKR
Ar MGA
K MMK
₮ MNT
RM MYR
₦ NGN
C$ NIO
₱ PHP
zł PLN
lei RON
₽ RUB
฿ THB
T$ TOP
₺ TRY
₴ UAH
R ZAR
ZK ZMW
`

// Currencies returns the codes of the currencies that have a sign, such as £; none where it is no
// sign of a currency.
func Currencies(sign string) []string {
	_, line, found := strings.Cut(bySign, "\n"+sign+" ")
	if sign == "" || !found {
		return nil
	}
	line, _, _ = strings.Cut(line, "\n")
	return strings.Fields(line)
}
