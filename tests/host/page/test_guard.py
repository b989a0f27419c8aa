"""Who may ask for what."""

import pytest
from page_made import FAR, HOST, OURS, visitor
from starlette.websockets import WebSocketDisconnect

FOREIGN = {"origin": "http://evil.example", "host": HOST[7:]}
POSTS = ("/plan", "/arm", "/start", "/leave", "/melt/first", "/clear", "/speed", "/break")


@pytest.mark.parametrize("where", POSTS)
@pytest.mark.parametrize("origin", [None, "http://evil.example", "null", "http://127.0.0.1:9999"])
def test_another_page_changes_nothing(tmp_path, where, origin):
    headers = {"origin": origin} if origin else {}
    answer = visitor(tmp_path).post(where, headers=headers)
    assert answer.status_code == 403


@pytest.mark.parametrize("where", POSTS)
def test_our_own_page_is_heard(tmp_path, where):
    # nothing is going on: every order is taken and leads back to the bench
    if where != "/plan":
        assert visitor(tmp_path).post(where, headers=OURS).headers["location"] == "/"


@pytest.mark.parametrize("headers", [{}, {"origin": "http://evil.example"}, {"host": "a.example"}])
@pytest.mark.parametrize("lan", [False, True])
def test_stop_is_taken_from_anywhere(tmp_path, headers, lan):
    assert visitor(tmp_path, lan).post("/stop", headers=headers).status_code == 303


@pytest.mark.parametrize("host", ["evil.example", "evil.example:8617", "192.168.7.20:8617"])
def test_it_answers_to_its_own_address_only(tmp_path, host):
    assert visitor(tmp_path).get("/about", headers={"host": host}).status_code == 403


def test_on_an_open_network_a_name_is_refused_even_with_the_token(tmp_path):
    answer = visitor(tmp_path, lan=True).get(
        "/about?token=right-token", headers={"host": "evil.example"}
    )
    assert answer.status_code == 403


def test_the_token_is_asked_for_once_and_kept_out_of_the_address(tmp_path):
    phone = visitor(tmp_path, lan=True, at=FAR)
    assert phone.get("/about").status_code == 403
    assert phone.get("/about?token=wrong").status_code == 403
    answer = phone.get("/about?token=right-token")
    assert answer.headers["location"] == "/about"
    assert "samesite=strict" in answer.headers["set-cookie"].lower()
    assert "httponly" in answer.headers["set-cookie"].lower()
    assert phone.get("/about").status_code == 200


def test_the_feed_is_closed_to_other_pages(tmp_path):
    with visitor(tmp_path) as browser:
        with browser.websocket_connect("/live", headers={**OURS, "host": HOST[7:]}) as feed:
            assert feed.receive_json()["phase"] == "choose"
        with (
            pytest.raises(WebSocketDisconnect),
            browser.websocket_connect(
                "/live", headers={"origin": "http://evil.example", "host": HOST[7:]}
            ),
        ):
            raise AssertionError("it was let in")


def test_nothing_foreign_may_be_loaded(tmp_path):
    policy = visitor(tmp_path).get("/about").headers["content-security-policy"]
    assert policy.startswith("default-src 'none'")
    assert "unsafe" not in policy
    assert "http:" not in policy


def test_every_page_is_free_of_inline_scripts(tmp_path):
    browser = visitor(tmp_path)
    for where in ("/", "/runs", "/documents", "/source", "/about", "/documents/paste/sac305"):
        text = browser.get(where).text
        assert text.count("<script") == text.count("<script src=") + text.count("application/json")
        assert "style=" not in text
        assert HOST not in text
