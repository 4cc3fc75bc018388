# Shares a price by value and a freight by weight over a list of items, from CSV to CSV: the peer of
# "lotcost split --items". Sums in cents; largest remainder, ties to the earlier item.
import csv
import sys
from decimal import ROUND_HALF_UP, Decimal


def share(total, weights):
    whole = sum(weights)
    shares = [total * w // whole for w in weights]
    left = total - sum(shares)
    order = sorted(range(len(weights)), key=lambda i: (-(total * weights[i] % whole), i))
    for i in order[:left]:
        shares[i] += 1
    return shares


def cents(amount):
    return int((Decimal(amount) * 100).quantize(Decimal(1), ROUND_HALF_UP))


items = list(csv.DictReader(open(sys.argv[1], newline="")))
counts = [int(i["count"]) for i in items]
weights = [c * int(i["weight"].split()[0]) for c, i in zip(counts, items)]
values = [c * cents(i["value"].split()[0]) for c, i in zip(counts, items)]
price, freight = share(int(sys.argv[2]), values), share(int(sys.argv[3]), weights)
out = csv.writer(sys.stdout)
out.writerow(["id", "count", "cost", "price", "freight"])
for item, count, p, f in zip(items, counts, price, freight):
    out.writerow([item["id"], count, f"{(p + f) / 100:.2f}", f"{p / 100:.2f}", f"{f / 100:.2f}"])
