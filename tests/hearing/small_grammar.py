"""A small grammar for the tests of the ear: readings, a few commands, tails. Invented for the tests."""

from __future__ import annotations

from functools import cache

from assistant.grammar import Grammar, compile_grammar

TEXT = """#JSGF V1.0;
grammar small;
public <sentence> = <amount> | <torque> | <temperature> | <timer> | <answer> | <command> | <tail>
                  | <number> {kind=number};
<digit> = zero {digit 0} | nought {digit 0} | one {digit 1} | two {digit 2} | three {digit 3} | four {digit 4}
        | five {digit 5} | six {digit 6} | seven {digit 7} | eight {digit 8} | nine {digit 9};
<teen> = ten {n 10} | eleven {n 11} | twelve {n 12} | thirteen {n 13} | fourteen {n 14} | fifteen {n 15}
       | sixteen {n 16} | seventeen {n 17} | eighteen {n 18} | nineteen {n 19};
<tens> = twenty {n 20} | thirty {n 30} | forty {n 40} | fifty {n 50} | sixty {n 60} | seventy {n 70}
       | eighty {n 80} | ninety {n 90};
<whole> = <digit> | <teen> | <tens> [<digit>] | <digit> <digit>;
<decimals> = point {point} <digit> [<digit>];
<number> = <whole> [<decimals>];
<volume> = (litre | litres) {unit=litre} | (quart | quarts) {unit=quart};
<amount> = drained {kind=drained} <number> [<volume>] | poured {kind=poured} <number> [<volume>]
         | <number> <volume> {kind=amount};
<torque> = torque {kind=torque} <whole> newton (metres | meters {as metres}) {unit=newton_metre};
<temperature> = (temperature <number> degrees | <number> degrees) {kind=temperature} {unit=degree};
<timer> = (start timer <whole> minutes) {kind=timer-start} {unit=minute};
<answer> = yes {kind=yes} | no {kind=no} | done {kind=done};
<command> = (next step) {kind=next} | (go back) {kind=back} | (say again) {kind=say-again}
          | (stand by) {kind=stand-by}
          | (how long) {kind=how-long} | (stop timer) {kind=timer-stop} | emergency {kind=emergency};
<tail> = <volume> {kind=unit-tail} | <decimals> {kind=decimal-tail};
"""


@cache
def small_grammar() -> Grammar:
    """Compile it, once."""
    return compile_grammar([("small.jsgf", TEXT)])
