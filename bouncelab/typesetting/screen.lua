-- What our papers have beyond Markdown, for the screen.

-- In an order of ours: the same paper gives the same bytes.
local function ordered(style, label)
  return { { 'style', style }, { 'role', 'img' }, { 'aria-label', label } }
end

function Span(span)
  if span.classes:includes('gap') then
    local width = span.attributes.width or '3cm'
    span.attributes = ordered('width:' .. width:gsub('[^%w.%%]', ''), 'a gap to write in')
    span.content = {}
    return span
  end
end

function Div(div)
  if div.classes:includes('lines') then
    local count = tonumber(div.attributes.count) or 3
    div.attributes = ordered('--count:' .. math.floor(count), 'lines to write on')
    return div
  elseif div.classes:includes('box') then
    local height = div.attributes.height or '2cm'
    div.attributes = { style = 'min-height:' .. height:gsub('[^%w.%%]', '') }
    return div
  end
end

-- A wide table scrolls in its own place.
function Table(found)
  return pandoc.Div(found, pandoc.Attr('', { 'scroll' }, { { 'tabindex', '0' } }))
end
