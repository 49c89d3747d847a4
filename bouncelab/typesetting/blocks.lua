-- What our papers have beyond Markdown, for typst:
-- gaps and boxes to write in, ruled lines, cautions, new pages, figures with words.

local function quoted(text)
  return '"' .. text:gsub('\\', '\\\\'):gsub('"', '\\"'):gsub('\n', ' ') .. '"'
end

local function raw(text)
  return pandoc.RawInline('typst', text)
end

local function wrapped(before, blocks)
  local made = pandoc.Blocks{pandoc.RawBlock('typst', before .. '[')}
  made:extend(blocks)
  made:insert(pandoc.RawBlock('typst', ']'))
  return made
end

function Span(span)
  if span.classes:includes('gap') then
    return raw('#gap(' .. (span.attributes.width or '3cm') .. ')')
  end
end

function Div(div)
  local kind = div.classes[1]
  if kind == 'lines' then
    return pandoc.RawBlock('typst', '#lines(' .. (div.attributes.count or '3') .. ')')
  elseif kind == 'box' then
    return wrapped('#answerbox(' .. (div.attributes.height or '2cm') .. ')', div.content)
  elseif kind == 'caution' then
    return wrapped('#caution', div.content)
  elseif kind == 'columns' then
    local made = pandoc.Blocks{pandoc.RawBlock('typst', '#side(')}
    for _, column in ipairs(div.content) do
      made:extend(wrapped('', column.content or {column}))
      made:insert(pandoc.RawBlock('typst', ','))
    end
    made:insert(pandoc.RawBlock('typst', ')'))
    return made
  elseif kind == 'small' or kind == 'tall' or kind == 'sign' or kind == 'card' or kind == 'together' then
    return wrapped('#' .. kind, div.content)
  elseif kind == 'new-page' then
    return pandoc.RawBlock('typst', '#pagebreak(weak: true)')
  end
end

local function picture(image)
  local words = image.attributes.alt or pandoc.utils.stringify(image.caption)
  local width = image.attributes.width or '100%'
  return 'image(' .. quoted(image.src) .. ', width: ' .. width
    .. ', alt: ' .. quoted(words) .. ')'
end

function Figure(figure)
  local found
  figure:walk { Image = function(image) found = image end }
  if not found then return nil end
  local caption = pandoc.utils.blocks_to_inlines(figure.caption.long)
  local made = pandoc.Inlines{raw('#figure(' .. picture(found) .. ', caption: [')}
  made:extend(caption)
  made:insert(raw('])'))
  return pandoc.Para(made)
end

function Image(image)
  return raw('#box(' .. picture(image) .. ')')
end

-- Figures before the images within them, so that each is met once.
return {
  { Figure = Figure },
  { Image = Image, Span = Span, Div = Div },
}
