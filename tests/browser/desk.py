"""A coach's desk as a test sees it: what the page shows beside what the server says."""

from typing import Any

from playwright.sync_api import Locator, Page, expect

from tests.browser.house import House

ANGLE = "lead_arm_shaft_angle"
LEAD_ARM_PARALLEL = "lead_arm_parallel"


class DeskPage:
    """The page of one review."""

    def __init__(self, page: Page, house: House) -> None:
        self.page = page
        self._base_url = house.base_url

    def wait_for_picture(self) -> None:
        """Until the clip is open and a frame with points is on show."""
        expect(self.point("Clubhead")).to_be_visible(timeout=60_000)

    @property
    def review_id(self) -> str:
        """From the address."""
        return self.page.url.rsplit("/", 1)[1]

    def server(self) -> Any:  # noqa: ANN401 - any JSON value
        """The review as the API gives it to this coach now."""
        answer = self.page.request.get(f"{self._base_url}/api/v1/reviews/{self.review_id}")
        assert answer.ok, answer.text()
        return answer.json()

    def reading(self) -> Any:  # noqa: ANN401 - any JSON value
        """The server's reading of the lead arm to shaft angle."""
        found = [one for one in self.server()["readings"] if one["checkpoint"] == ANGLE]
        assert len(found) == 1, found
        return found[0]

    def shown_value(self) -> float:
        """The number on the page, unrounded."""
        card = self.page.locator(f"[data-checkpoint={ANGLE}]")
        return float(card.get_attribute("data-value") or "nan")

    def frame(self) -> int:
        """The frame that the page says is on show."""
        return int(self.page.locator("[data-frame]").get_attribute("data-frame") or "-1")

    def expect_frame(self, frame: int) -> None:
        """Wait until the page says so, and hold the video element to it by the list of times."""
        expect(self.page.locator("[data-frame]")).to_have_attribute("data-frame", str(frame))
        times = self.frame_times()
        end = times[frame + 1] if frame + 1 < len(times) else float("inf")
        at = float(self.page.locator("video").evaluate("video => video.currentTime"))
        assert times[frame] <= at < end, f"frame {frame}: {times[frame]} <= {at} < {end}"

    def frame_times(self) -> list[float]:
        """When each frame begins, seconds, by the server's list."""
        link = self.server()["submission"]["clips"][0]["media"]["frame_times"]
        times: list[float] = self.page.request.get(f"{self._base_url}{link}").json()["times_s"]
        return times

    def point(self, name: str) -> Locator:
        """A movable point, by its name."""
        return self.page.get_by_role("button", name=f"{name}, ")

    def saved(self) -> None:
        """Wait until the page says that everything is saved."""
        expect(self.page.get_by_role("status").filter(has_text="Saved ")).to_be_visible()
