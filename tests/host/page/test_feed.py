"""Every page hears the same, and none can make the server grow."""

import asyncio
import json

from heatwright.page.feed import QUEUE, Feed


def test_a_page_that_does_not_read_gets_the_whole_state_anew():
    async def story():
        feed = Feed(lambda: {"whole": True})
        slow, quick = feed.join(), feed.join()
        assert json.loads(await quick.next()) == {"whole": True}
        for number in range(QUEUE):
            feed.tell({"number": number})
            assert json.loads(await quick.next()) == {"number": number}
        # the queue was full: what was missed is in the whole state
        assert json.loads(await slow.next()) == {"whole": True}
        feed.tell({"number": -1})
        assert json.loads(await slow.next()) == {"number": -1}

    asyncio.run(story())


def test_who_leaves_is_forgotten():
    feed = Feed(dict)
    client = feed.join()
    feed.leave(client)
    assert len(feed) == 0
