"""What people say near a mechanic and not to the assistant: written for this test, dense in numbers."""

from __future__ import annotations

from tests.benchmark.hearing.talk import TALK

TELEPHONE = (
    "yes hello this is about the estate the one we looked at on Monday",
    "no no that is fine I can wait until half past three",
    "it is oh double seven four then nine one three and then two two five",
    "we could do it for three hundred and twenty plus the tax",
    "all right then five o'clock on the twelfth yes that is right",
    "yes. no. no I do not think so. yes. go on then",
    "fifty five yes five five no not fifteen fifty",
    "they said two to three weeks so count on three",
    "can you read me the number again four one six oh nine seven",
    "good. done. thank you. next Tuesday then",
    "I need four litres of milk two loaves and a dozen eggs",
    "he has been waiting ten minutes already tell him another five",
    "that makes one point two million if you believe it",
    "okay okay stop it is ready when it is ready",
    "say it again the line is bad. eighty eight. right",
)
VISITORS = (
    "how long have you been at it then two hours or three",
    "mine takes about five litres and the old one took seven",
    "is that the drain plug there it looks tight to me",
    "they torque these to thirty five or so my brother says",
    "that one is running hot if you ask me ninety degrees easy",
    "have you seen my ten millimetre socket I had it five minutes ago",
    "done that. been there. next time I take it to somebody else",
    "the red one or the brown one I could not tell you",
    "I will be back in half an hour with two coffees",
    "are we all clear for Saturday yes no maybe",
    "that is enough now let it go and finish tomorrow",
    "carry on do not mind me I am only looking",
    "six of one and half a dozen of the other",
    "it will not start it just clicks twice and then nothing",
    "four wheels two doors and seventy thousand miles for nine hundred",
    "leave it as it is and skip the rest I am not paying for that",
    "level with me is it the gearbox yes or no",
)
RADIO = (
    "and it is twenty past eight sixteen degrees in the north and nineteen in the south",
    "the score is still one all with thirty five minutes gone",
    "traffic is slow between junctions four and six for about two miles",
    "that was number three in the charts and up from fifteen last week",
    "temperatures will fall to five degrees tonight with rain at first",
    "call us now on oh eight hundred three five five two",
    "shares were down one point four percent at the close",
    "start the day with us weekdays from six until ten",
    "stand by for the news in two minutes",
    "the first to call wins fifty litres of paint and the second wins a holiday",
)
LINES: dict[str, tuple[str, ...]] = {
    "telephone": (*TELEPHONE, *TALK),
    "visitors": (*VISITORS, *TALK),
    "radio": (*RADIO, *TALK),
}
