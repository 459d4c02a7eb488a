"""What a CSV file that the page gives says."""

import httpx2


def csv_text(answer: httpx2.Response) -> str:
    return answer.content.decode("utf-8-sig")
