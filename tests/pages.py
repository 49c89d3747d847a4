"""What a student does with the stages of a lesson's page."""


def stage(notebook, heading):
    """The stage that has a control of this name."""
    control = notebook.page.get_by_label(heading)
    return notebook.page.locator(".bl-stage").filter(has=control)


def slide(part, label, keys):
    """Move a slider of a stage by keys; give what it then reads."""
    slider = part.get_by_role("slider", name=label, exact=True)
    slider.focus()
    for key in keys:
        slider.press(key)
    return float(slider.input_value())


def read(part):
    """All numbers that stand beside a drawing."""
    rows = part.locator(".bl-readings tbody tr")
    return {
        row.locator("th").inner_text(): row.locator("td").inner_text()
        for row in rows.all()
    }


def expected(scene, frame):
    """The numbers of a scene at one of its frames."""
    return {
        each.label: each.values[min(frame, len(each.values) - 1)]
        for each in scene.readings
    }
