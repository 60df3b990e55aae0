# Texts of all kinds: other alphabets, long ones, bare characters, in pieces.
import sys

print("Fähre nach Süden \u2014 船は港に入る \u26f5 \U0001f6a2")
print("tab\tquote\"back\\slash\x07 null\0 end", 1, 2.5, None, True, [1, (2,)], {"a": 1}, sep=" | ")
print("x" * 700)
print("in", end=" ")
print("pieces", end="")
print()
print()
sys.stdout.write("written\nin two lines\n")
print(b"bytes \xff", "%5.2f" % 3.14159, "{:>6}".format("right"), 10**20, -7 // 2, 0.1)
for letter in "ab\ncd":
    print(letter, end="")
